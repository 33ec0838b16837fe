"""What a mixture is by law, from the shares of what is in it, with the reasoning of every line.

Shares are mass percent and are never rounded before they meet a limit. Physical hazards are not worked out:
they are listed for a person to review. Rules and their marks: safety/calc/limits.py and acute.py; the whole
is held against tests/reference/mixtures_checks.json.
"""

from collections.abc import Iterable, Sequence
from dataclasses import asdict, dataclass, replace
from decimal import Decimal
from typing import Any

from safety.calc import acute, aquatic
from safety.calc.elements import LabelElements, label_elements, physical
from safety.calc.hazards import Hazards
from safety.calc.limits import (
    ELICITS,
    ELICITS_USUALLY,
    H_OF,
    SE3_H,
    SE3_PCT,
    Rules,
    generic,
    kind_of,
    place,
    strength,
)
from safety.calc.precautions import precautionary_statements

D = Decimal
# By the law of the studio: the rules, and their edition as it is printed.
RULES_OF_LAW: dict[str, tuple[Rules, str]] = {
    "EU": ("CLP", "CLP, text of 1 July 2026 with its adaptations"),
    "US": ("US-HCS", "OSHA HCS 2024"),
    "UN": ("GHS", "UN GHS, limits as in CLP"),
}
IN_SIGHT = D(10)  # a line not reached is told when its sum comes within a tenth of the limit
CUT_OFF_PCT = D(1)  # skin and eye: what is below does not count (CLP Table 1.1 [O])
ACID_PH, ALKALI_PH = D(2), D("11.5")
# Their presence calls for a sheet on request: EUH210 (Annex II 2.10 [O]).
_SENSITISER = ("Resp. Sens.", "Skin Sens.")
_NAMED = ("Acute Tox.", "Skin Corr.", "Eye Dam.", "Muta.", "Carc.", "Repr.", *_SENSITISER, "STOT")


@dataclass(frozen=True, kw_only=True)
class Ingredient:
    """One substance of a mixture: mass percent of the whole, and what is said of it."""

    name: str
    cas: str = ""
    pct: Decimal
    hazards: Hazards
    parts: tuple[tuple[str, Decimal], ...] = ()

    @property
    def limit_pct(self) -> Decimal:
        """The share that meets limits of CMR, sensitisation and STOT: of the metal alone under Note 1."""
        fraction = self.hazards.note1_fraction
        return self.pct if fraction is None else self.pct * fraction


@dataclass(frozen=True, kw_only=True)
class Line:
    """One rule applied: what counted, up to which sum, against which limit, and whether it was reached."""

    cls: str
    h_code: str
    rule: str
    limit_pct: Decimal | None
    sum_pct: Decimal
    of: tuple[tuple[str, Decimal, str], ...]
    reached: bool
    note: str = ""


@dataclass(frozen=True, kw_only=True)
class Mixture:
    """What was found. ``ate_mix``: mg/kg or mg/L to six figures, None where nothing is toxic by the route."""

    rules: Rules
    classes: tuple[str, ...]
    h_codes: tuple[str, ...]
    label: LabelElements
    ate_mix: dict[str, Decimal | None]
    unknown_pct: dict[str, Decimal]
    euh208_names: tuple[str, ...]
    name_sensitisers: tuple[str, ...]
    physical_to_review: tuple[str, ...]
    aquatic_sums: dict[str, Decimal]
    identifier_names: tuple[str, ...]
    organs: dict[str, tuple[str, ...]]
    lines: tuple[Line, ...]

    def as_plain(self) -> dict[str, Any]:
        """As JSON: numbers as text."""
        return _plain(asdict(self))


def _plain(value: Any) -> Any:
    if isinstance(value, Decimal):
        return format(value.normalize(), "f") if value else "0"
    if isinstance(value, dict):
        return {name: _plain(found) for name, found in value.items()}
    if isinstance(value, list | tuple):
        return [_plain(found) for found in value]
    return value


def classify(
    *,
    ingredients: Sequence[Ingredient],
    rules: Rules,
    non_additive: bool = False,
    ph: Decimal | None = None,
) -> Mixture:
    """Classes, label and reasoning of a mixture.

    ``ingredients``: shares 0 to 100 % that add to at most 100 (what is not named is harmless or not known:
    the caller says which). ``non_additive``: strong acids or bases, where 1 % of a corrosive is enough (CLP
    Table 3.2.4 [O]). ``ph`` of the mixture, if measured: at most 2 or at least 11.5 counts as corrosive [O].
    ValueError for a share outside 0 to 100, or shares beyond 100 % together.
    """
    found = merged(ingredients)
    _refuse(found)
    lines = [*_acute(found, rules), *_skin_and_eye(found, non_additive, ph, rules)]
    lines += [*_by_share(found, rules), *_se3(found, rules)]
    water = aquatic.sums(ingredients=[(one.name, one.pct, one.hazards) for one in found])
    if rules != "US-HCS":
        lines += _aquatic(found, water)
    lines = _strictest(lines)
    classes = tuple(sorted({line.cls for line in lines if line.reached}, key=place))
    codes = tuple(sorted({line.h_code for line in lines if line.reached}))
    names, euh208 = _sensitisers(found, classes, rules)
    estimates = _estimates(found, rules)
    return Mixture(
        rules=rules,
        classes=classes,
        h_codes=codes,
        label=_label(classes, codes, euh208, _on_request(found, classes, rules)),
        ate_mix={one.route: _figures(one.ate) for one in estimates},
        unknown_pct={one.route: one.unknown_pct for one in estimates},
        euh208_names=euh208,
        name_sensitisers=names,
        physical_to_review=physical(cls for one in found for cls in one.hazards.classes),
        aquatic_sums={} if rules == "US-HCS" else water,
        identifier_names=_identifiers(lines),
        organs=_organs(found, lines),
        lines=tuple(lines),
    )


def _label(
    classes: tuple[str, ...], codes: tuple[str, ...], euh208: tuple[str, ...], on_request: bool
) -> LabelElements:
    shown = label_elements(classes=classes, h_codes=codes)
    euh = tuple(code for code, stands in (("EUH208", euh208), ("EUH210", on_request)) if stands)
    return replace(shown, p_codes=precautionary_statements(label_h_codes=shown.h_codes), euh=euh)


def merged(ingredients: Iterable[Ingredient]) -> list[Ingredient]:
    """Each substance once: rows of the same number (or name) that are said to be the same are summed."""
    found: dict[Any, Ingredient] = {}
    for one in ingredients:
        said = {k: str(v) for k, v in one.hazards.as_plain().items() if k not in ("source", "status")}
        key = (one.cas or one.name.strip().casefold(), tuple(sorted(said.items())))
        before = found.get(key)
        if before is None:
            found[key] = one
        else:
            sources = dict.fromkeys(x for x in (before.hazards.source, one.hazards.source) if x)
            hazards = replace(before.hazards, source="; ".join(sources))
            found[key] = replace(
                before, pct=before.pct + one.pct, hazards=hazards, parts=(*before.parts, *one.parts)
            )
    return list(found.values())


def _refuse(found: Sequence[Ingredient]) -> None:
    if any(not 0 <= one.pct <= 100 for one in found):
        raise ValueError("A share is between 0 and 100 %.")


def _figures(value: Decimal | None) -> Decimal | None:
    return None if value is None else D(f"{value:.6g}")


def _line(
    cls: str,
    rule: str,
    limit: Decimal | None,
    of: Sequence[tuple[Ingredient, Decimal]],
    *,
    reached: bool | None = None,
    total: Decimal | None = None,
    h_code: str = "",
    note: str = "",
) -> Line:
    whole = sum((pct for _, pct in of), D(0)) if total is None else total
    return Line(
        cls=cls,
        h_code=h_code or H_OF[cls],
        rule=rule,
        limit_pct=limit,
        sum_pct=whole,
        of=tuple((one.name, pct, one.hazards.source) for one, pct in of),
        reached=(limit is not None and whole >= limit) if reached is None else reached,
        note=note,
    )


def _in_sight(lines: Iterable[Line]) -> list[Line]:
    return [
        line
        for line in lines
        if line.reached or (line.limit_pct is not None and line.sum_pct * IN_SIGHT >= line.limit_pct)
    ]


# --- acute toxicity


def _estimates(found: Sequence[Ingredient], rules: Rules) -> list[acute.Estimate]:
    rows = [(one.name, one.pct, one.hazards) for one in found]
    estimates = [acute.estimate(route=route, ingredients=rows, rules=rules) for route in acute.ROUTES]
    vapour = estimates[-1]
    return estimates if vapour.ate is not None or vapour.unknown_pct else estimates[:-1]


def _acute(found: Sequence[Ingredient], rules: Rules) -> list[Line]:
    lines = []
    for one in _estimates(found, rules):
        if one.category is None:
            continue
        cls = f"Acute Tox. {one.category} ({acute.ROUTE_WORD[one.route]})"
        unit = "mg/kg" if one.route in ("oral", "dermal") else "mg/L"
        note = f"ATE of the mixture {_plain(_figures(one.ate))} {unit}, category {one.category} up to "
        note += f"{acute.UPPER[one.route][one.category - 1]} {unit}"
        if one.corrected:
            note += f"; counted over the {_plain(100 - one.unknown_pct)} % that is known"
        by_name = {row.name: row for row in found}
        of = [(by_name[name], pct) for name, pct, _ in one.of]
        lines.append(_line(cls, acute.rule_of(one.route, rules), None, of, reached=True, note=note))
    return lines


# --- skin and eye


def _skin_and_eye(
    found: Sequence[Ingredient], non_additive: bool, ph: Decimal | None, rules: Rules
) -> list[Line]:
    skin, eye = (
        ("US A.2", "US A.3") if rules == "US-HCS" else ("CLP 3.2, Table 3.2.3", "CLP 3.3, Table 3.3.3")
    )
    corrosive = _counting(found, "Skin Corr.", D(5))
    irritant = _counting(found, "Skin Irrit.", D(10), but=corrosive)
    damaging = _counting(found, "Eye Dam.", D(3), but=corrosive) + [(one, pct) for one, pct in corrosive]
    eye_irritant = _counting(found, "Eye Irrit.", D(10), but=damaging)
    if non_additive:
        lines = (
            [_line("Skin Corr. 1", "CLP 3.2, Table 3.2.4 (not additive)", D(1), corrosive)]
            if corrosive
            else []
        )
        lines += (
            [_line("Skin Irrit. 2", "CLP 3.2, Table 3.2.4 (not additive)", D(3), irritant)]
            if irritant
            else []
        )
        lines += (
            [_line("Eye Dam. 1", "CLP 3.3, Table 3.3.4 (not additive)", D(1), damaging)] if damaging else []
        )
        lines += (
            [_line("Eye Irrit. 2", "CLP 3.3, Table 3.3.4 (not additive)", D(3), eye_irritant)]
            if eye_irritant
            else []
        )
    else:
        lines = _two_steps("Skin Corr. 1", "Skin Irrit. 2", skin, D(5), corrosive, irritant)
        lines += _two_steps("Eye Dam. 1", "Eye Irrit. 2", eye, D(3), damaging, eye_irritant)
    if ph is not None and (ph <= ACID_PH or ph >= ALKALI_PH):
        note = f"measured pH {ph}: at most 2 or at least 11.5 counts as corrosive unless shown otherwise"
        lines += [
            _line(cls, f"{rule}, extreme pH", None, (), reached=True, note=note)
            for cls, rule in (("Skin Corr. 1", skin), ("Eye Dam. 1", eye))
        ]
    if any(line.cls == "Skin Corr. 1" and line.reached for line in lines):
        note = "what is corrosive to skin damages eyes"
        lines.append(_line("Eye Dam. 1", eye, None, corrosive, reached=True, note=note))
    return _in_sight(lines)


def _counting(
    found: Sequence[Ingredient], kind: str, usual: Decimal, but: Sequence[tuple[Ingredient, Decimal]] = ()
) -> list[tuple[Ingredient, Decimal]]:
    """Who counts, and with what share: a specific limit makes it count for more, or for less."""
    out = {id(one) for one, _ in but}
    rows = []
    for one in found:
        if id(one) in out or not any(cls.startswith(kind) for cls in one.hazards.classes):
            continue
        own = min((x.min_pct for x in one.hazards.limits if x.cls.startswith(kind)), default=None)
        if own is not None:
            rows.append((one, one.pct * usual / own if own else usual))
        elif one.pct >= CUT_OFF_PCT:
            rows.append((one, one.pct))
    return rows


def _two_steps(
    severe: str,
    mild: str,
    rule: str,
    limit: Decimal,
    first: Sequence[tuple[Ingredient, Decimal]],
    second: Sequence[tuple[Ingredient, Decimal]],
) -> list[Line]:
    lines = []
    if first:
        lines += [_line(severe, rule, limit, first), _line(mild, rule, D(1), first)]
    if second:
        lines.append(_line(mild, rule, D(10), second))
    if first and second:
        tens = [(one, 10 * pct) for one, pct in first]
        note = f"10 × what is {severe}, and what is {mild}"
        lines.append(_line(mild, rule, D(10), [*tens, *second], note=note))
    return lines


# --- sensitisers, CMR, STOT: one ingredient is enough, a group is summed first


def _by_share(found: Sequence[Ingredient], rules: Rules) -> list[Line]:
    table = generic(rules)
    lines = []
    for cls in sorted({cls for one in found for cls in one.hazards.classes if cls in table}, key=place):
        for of in _groups(found, cls, rules):
            lines += [_against(cls, step, of) for step in _steps(cls, table[cls], of, rules)]
            if cls.startswith("STOT"):
                lines += _own_weaker(cls, table[cls], of)
    return _in_sight(lines)


def _groups(found: Sequence[Ingredient], cls: str, rules: Rules) -> list[list[tuple[Ingredient, Decimal]]]:
    """Those of one class: each alone, but boron for reproduction (Note 11 [O]) and silica together."""
    alone: list[list[tuple[Ingredient, Decimal]]] = []
    groups: dict[str, list[tuple[Ingredient, Decimal]]] = {}
    for one in found:
        if cls not in one.hazards.classes:
            continue
        group = one.hazards.sum_group
        if group and (group != "boron" or cls.startswith("Repr.")):
            groups.setdefault(group, []).append((one, one.limit_pct))
        else:
            alone.append([(one, one.limit_pct)])
    return [*alone, *groups.values()]


def _own(of: Sequence[tuple[Ingredient, Decimal]], cls: str) -> Decimal | None:
    return min((x.min_pct for one, _ in of for x in one.hazards.limits if x.cls == cls), default=None)


def _steps(cls: str, usual: Any, of: Any, rules: Rules) -> list[tuple[str, Decimal, str]]:
    """What is given from which share on: by specific limits where there are, else by the generic ones."""
    steps = []
    for step in usual:
        own = _own(of, step.gives)
        rule = step.rule if own is None else f"specific limit of the substance, before {step.rule}"
        steps.append((step.gives, step.pct if own is None else own, rule))
    return steps


def _own_weaker(cls: str, usual: Any, of: Any) -> list[Line]:
    """A specific limit for the weaker category where the generic rules of these countries have none."""
    weaker = f"{cls[:-1]}2"
    own = _own(of, weaker)
    if own is None or any(step.gives == weaker for step in usual):
        return []
    return [_against(cls, (weaker, own, "specific limit of the substance"), of)]


def _against(cls: str, step: tuple[str, Decimal, str], of: Sequence[tuple[Ingredient, Decimal]]) -> Line:
    gives, limit, rule = step
    notes = []
    if any(one.hazards.note1_fraction is not None for one, _ in of):
        notes.append("Note 1: the metal alone counts")
    if len(of) > 1 and of[0][0].hazards.sum_group:
        notes.append(f"summed: {of[0][0].hazards.sum_group}")
    total = sum((pct for _, pct in of), D(0))
    h_code = _code(gives, of, total)
    return _line(gives, rule, limit, of, h_code=h_code, note="; ".join(notes))


def _code(cls: str, of: Sequence[tuple[Ingredient, Decimal]], total: Decimal) -> str:
    code = H_OF[cls]
    if cls.startswith("Repr."):
        return code + _letters(cls, of, total)
    if cls.startswith("Carc. 1") and all(one.hazards.carc_inhalation_only for one, _ in of):
        return "H350i"
    return code


def _letters(cls: str, of: Sequence[tuple[Ingredient, Decimal]], total: Decimal) -> str:
    """F and D stand from the limit of category 1 on; f and d from that of category 2, 3 % or their own."""
    own = _own(of, "Repr. 2")
    weak_from = D(3) if own is None else own
    letters = {letter for one, _ in of for letter in one.hazards.repr_effects}
    strict = cls != "Repr. 2"
    kept = {x for x in letters if (x.isupper() if strict else x.islower()) or total >= weak_from}
    return merged_letters(kept if kept else letters)


def merged_letters(letters: Iterable[str]) -> str:
    """Letters of H360 and H361 as they are printed: a capital takes its small one's place, F before D."""
    found = set(letters)
    found -= {letter for letter in found if letter.islower() and letter.upper() in found}
    return "".join(sorted(found, key="FDfd".index))


def _se3(found: Sequence[Ingredient], rules: Rules) -> list[Line]:
    lines = []
    for kind, code in SE3_H.items():
        of, own = [], None
        for one in found:
            mine = min((x.min_pct for x in one.hazards.limits if x.cls == "STOT SE 3"), default=None)
            if one.hazards.stot_se3 != kind or not (mine is not None or "STOT SE 3" in one.hazards.classes):
                continue
            if mine is None:
                of.append((one, one.limit_pct))
            else:
                rule = "specific limit of the substance"
                own = _line("STOT SE 3", rule, mine, [(one, one.limit_pct)], h_code=code)
                lines.append(own)
        if of:
            rule = "US A.8.3.4.5" if rules == "US-HCS" else "CLP 3.8.3.4.5"
            lines.append(_line("STOT SE 3", f"{rule}, summed", SE3_PCT, of, h_code=code))
    return _in_sight(lines)


# --- water


def _aquatic(found: Sequence[Ingredient], water: dict[str, Decimal]) -> list[Line]:
    by_name = {one.name: one for one in found}
    lines = []
    chronic_met = False
    for cls, name, of in aquatic.who([(one.name, one.pct, one.hazards) for one in found]):
        total = water[name]
        met = total >= aquatic.LIMIT_PCT
        chronic = cls.startswith("Aquatic Chronic")
        rule = "CLP 4.1.3.5.5, Table 4.1.1" if not chronic else "CLP 4.1.3.5.5, Table 4.1.2"
        rows = [(by_name[who], pct) for who, pct in of]
        note = "each share times its M-factor and the table's weight"
        if rows and not (chronic and chronic_met):
            lines.append(_line(cls, rule, aquatic.LIMIT_PCT, rows, total=total, reached=met, note=note))
        chronic_met = chronic_met or (chronic and met)
    return _in_sight(lines)


# --- together


def _strictest(lines: Sequence[Line]) -> list[Line]:
    """Of every kind the strictest class that is reached; weaker lines stay for reading, not as reached."""
    best: dict[str, int] = {}
    lines = _one_statement(list(lines))
    for line in lines:
        if line.reached:
            kind = _one_kind(line)
            best[kind] = min(best.get(kind, 99), strength(line.cls))
    return [
        replace(line, reached=False, note="; ".join(x for x in (line.note, "a stricter one is reached") if x))
        if line.reached and strength(line.cls) > best[_one_kind(line)]
        else line
        for line in lines
    ]


def _one_kind(line: Line) -> str:
    kind = kind_of(line.cls)
    if kind in ("Skin Corr.", "Skin Irrit."):
        return "skin"
    if kind in ("Eye Dam.", "Eye Irrit."):
        return "eye"
    if line.cls == "STOT SE 3":
        return line.h_code
    return kind


def _one_statement(lines: list[Line]) -> list[Line]:
    """Several ingredients of one kind print one statement: letters merged, H350 before H350i."""
    codes = {line.h_code for line in lines if line.reached}
    letters = merged_letters("".join(code[4:] for code in codes if code.startswith(("H360", "H361"))))
    by_others = "H350" in codes
    told = []
    for line in lines:
        code = line.h_code
        if line.reached and line.cls.startswith("Repr. 1"):
            code = "H360" + letters
        elif line.reached and code == "H350i" and by_others:
            code = "H350"
        told.append(replace(line, h_code=code))
    return told


def _elicits(one: Ingredient) -> bool:
    """Whether it is there from its naming limit on (CLP Table 3.4.6 [O]), or a tenth of its own [M]."""
    for cls in one.hazards.classes:
        if cls.startswith(_SENSITISER):
            own = min((x.min_pct for x in one.hazards.limits if x.cls == cls), default=None)
            limit = own / 10 if own is not None else ELICITS.get(cls.split()[-1], ELICITS_USUALLY)
            if one.limit_pct >= limit:
                return True
    return False


def _sensitisers(
    found: Sequence[Ingredient], classes: tuple[str, ...], rules: Rules
) -> tuple[tuple[str, ...], tuple[str, ...]]:
    """Names beside the class, or, where nothing is classed, names for EUH208."""
    names = tuple(dict.fromkeys(one.name for one in found if _elicits(one)))
    if any(cls.startswith(_SENSITISER) for cls in classes):
        return names, ()
    return (), () if rules == "US-HCS" else names


def _on_request(found: Sequence[Ingredient], classes: tuple[str, ...], rules: Rules) -> bool:
    """EUH210: not classified, yet with something a buyer may ask the sheet for (Annex II 2.10 [O])."""
    if classes or rules != "CLP":
        return False

    def asks(one: Ingredient, cls: str) -> bool:
        if cls.startswith(("Resp. Sens. 1A", "Skin Sens. 1A")):
            return one.limit_pct >= D("0.01")
        low = cls.startswith((*_SENSITISER, "Carc. 2", "Repr.", "Lact."))
        return one.limit_pct >= (D("0.1") if low else D(1))

    return any(asks(one, cls) for one in found for cls in one.hazards.classes)


def _identifiers(lines: Iterable[Line]) -> tuple[str, ...]:
    """Substances the label names (CLP Art. 18(3)(b) [O]): those behind the classes that ask for it."""
    shares: dict[str, Decimal] = {}
    for line in lines:
        if line.reached and line.cls.startswith(_NAMED) and line.cls != "STOT SE 3":
            for name, pct, _ in line.of:
                shares[name] = max(pct, shares.get(name, D(0)))
    return tuple(sorted(shares, key=lambda name: (-shares[name], name)))


def _organs(found: Sequence[Ingredient], lines: Iterable[Line]) -> dict[str, tuple[str, ...]]:
    organ = {one.name: one.hazards.organ for one in found if one.hazards.organ}
    told: dict[str, list[str]] = {}
    for line in lines:
        if line.reached and line.cls.startswith("STOT") and line.cls != "STOT SE 3":
            told.setdefault(line.h_code, []).extend(organ[name] for name, *_ in line.of if name in organ)
    return {code: tuple(dict.fromkeys(names)) for code, names in told.items() if names}
