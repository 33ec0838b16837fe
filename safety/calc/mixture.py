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
from safety.calc.by_share import by_share, irritant_or_narcotic, merged_letters
from safety.calc.elements import LabelElements, label_elements
from safety.calc.ingredients import Ingredient, Line, in_sight, joined, line, plain
from safety.calc.limits import Rules, by_shares, kind_of, place, strength
from safety.calc.precautions import precautionary_statements
from safety.calc.skin_eye import skin_and_eye
from safety.calc.supplements import SENSITISERS, Asked, asked_for, sensitisers

__all__ = ["EDITION", "RULES_OF_LAW", "Ingredient", "Line", "Mixture", "classify", "merged"]

D = Decimal
# How this app works the rules out. Raised when the same inputs lead to another result than before, so that
# what is on file is worked out anew and what an earlier edition said stays readable as what it was.
EDITION = 3
# By the law of the studio: the rules, and their edition as it is printed.
RULES_OF_LAW: dict[str, tuple[Rules, str]] = {
    "EU": ("CLP", "CLP, text of 1 July 2026 with its adaptations"),
    "US": ("US-HCS", "OSHA HCS 2024"),
    "UN": ("GHS", "UN GHS, limits as in CLP"),
}
_WHO = ("source", "status", "figures_by", "taken")  # who says it: no part of what is said
_NAMED = ("Acute Tox.", "Skin Corr.", "Eye Dam.", "Muta.", "Carc.", "Repr.", *SENSITISERS, "STOT")


@dataclass(frozen=True, kw_only=True)
class Mixture:
    """What was found. ``ate_mix``: mg/kg or mg/L to six figures, None where nothing is toxic by the route.

    ``physical_to_review``: classes shares do not decide, for a person. ``lines``: the reasoning.
    ``on_request``: why EUH210 stands, or nothing.
    """

    rules: Rules
    classes: tuple[str, ...]
    h_codes: tuple[str, ...]
    label: LabelElements
    ate_mix: dict[str, Decimal | None]
    unknown_pct: dict[str, Decimal]
    euh208_names: tuple[str, ...]
    on_request: tuple[Asked, ...]
    name_sensitisers: tuple[str, ...]
    physical_to_review: tuple[str, ...]
    aquatic_sums: dict[str, Decimal]
    identifier_names: tuple[str, ...]
    organs: dict[str, tuple[str, ...]]
    lines: tuple[Line, ...]

    def as_plain(self) -> dict[str, Any]:
        """As JSON: numbers as text."""
        return plain(asdict(self))


def classify(
    *,
    ingredients: Sequence[Ingredient],
    rules: Rules,
    non_additive: bool = False,
    ph: Decimal | None = None,
) -> Mixture:
    """Classes, label and reasoning of a mixture.

    ``ingredients``: shares of 0 to 100 %; together they may come to more, since ranges count at their upper
    ends. What is not named counts as harmless: the caller names what is not known. ``non_additive``: strong
    acids or bases, where 1 % of a corrosive is enough (CLP Table 3.2.4 [O]). ``ph`` of the mixture, if
    measured: at most 2 or at least 11.5 counts as corrosive [O]. ValueError for a share outside 0 to 100.
    Where none is given nothing rests on it.
    """
    found = merged(ingredients)
    _refuse(found)
    lines = [*_acute(found, rules), *skin_and_eye(found=found, non_additive=non_additive, ph=ph, rules=rules)]
    lines += [*by_share(found, rules), *irritant_or_narcotic(found, rules)]
    water = aquatic.sums(ingredients=[(one.name, one.pct, one.hazards) for one in found])
    if rules != "US-HCS":
        lines += _aquatic(found, water)
    lines = [_by_rules(one, rules) for one in _strictest(lines)]
    classes = tuple(sorted({one.cls for one in lines if one.reached}, key=place))
    codes = tuple(sorted({one.h_code for one in lines if one.reached}))
    names, euh208 = sensitisers(found, classes, rules)
    asked = asked_for(found, classes, rules)
    estimates = _estimates(found, rules)
    return Mixture(
        rules=rules,
        classes=classes,
        h_codes=codes,
        label=_label(classes, codes, euh208 if rules == "CLP" else (), bool(asked)),
        ate_mix={one.route: _figures(one.ate) for one in estimates},
        unknown_pct={one.route: one.unknown_pct for one in estimates},
        euh208_names=euh208,
        on_request=asked,
        name_sensitisers=names,
        physical_to_review=_to_review(found),
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
        said = {k: str(v) for k, v in one.hazards.as_plain().items() if k not in _WHO}
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


def _to_review(found: Sequence[Ingredient]) -> tuple[str, ...]:
    """What shares do not decide: physical hazards, and what no rule here knows, so that nothing is lost."""
    return tuple(sorted({cls for one in found for cls in one.hazards.classes if not by_shares(cls)}))


def _by_rules(found: Line, rules: Rules) -> Line:
    """UN GHS leaves its limits to each authority: which ones are used here is said on every line."""
    if rules != "GHS" or not found.rule.startswith("CLP"):
        return found
    return replace(found, rule=f"{found.rule}, used for UN GHS by convention [P]")


# --- acute toxicity


def _estimates(found: Sequence[Ingredient], rules: Rules) -> list[acute.Estimate]:
    rows = [(one.name, one.pct, one.hazards) for one in found]
    estimates = [acute.estimate(route=route, ingredients=rows, rules=rules) for route in acute.ROUTES]
    vapour = estimates[-1]
    return estimates if vapour.ate is not None or vapour.unknown_pct else estimates[:-1]


def _acute(found: Sequence[Ingredient], rules: Rules) -> list[Line]:
    by_name = {one.name: one for one in found}
    lines = []
    for one in _estimates(found, rules):
        limits = acute.UPPER[one.route]
        if one.ate is None or one.ate > 10 * limits[-1]:
            continue
        category = one.category or len(limits)
        cls = f"Acute Tox. {category} ({acute.ROUTE_WORD[one.route]})"
        of = [(by_name[name], pct) for name, pct, _ in one.of]
        rule = acute.rule_of(one.route, rules)
        lines.append(
            line(cls, rule, None, of, reached=one.category is not None, note=_ate_note(one, category))
        )
    return lines


def _ate_note(one: acute.Estimate, category: int) -> str:
    unit = "mg/kg" if one.route in ("oral", "dermal") else "mg/L"
    over = f"counted over {_known_mass(one)}" if one.corrected else ""
    upto = f"category {category} up to {acute.UPPER[one.route][category - 1]} {unit}"
    return joined(f"ATE of the mixture {plain(_figures(one.ate))} {unit}, {upto}", over)


def _known_mass(one: acute.Estimate) -> str:
    """The mass an estimate was counted over, where more than a tenth is unknown."""
    over, left = one.over_pct, 100 - one.unknown_pct
    if over == left:
        return f"the {plain(over)} % that is known"
    return f"the {plain(over)} % that counted: more than the {plain(left)} % left by what is unknown"


# --- water


def _aquatic(found: Sequence[Ingredient], water: dict[str, Decimal]) -> list[Line]:
    by_name = {one.name: one for one in found}
    lines = []
    chronic_met = False
    for cls, name, of in aquatic.who([(one.name, one.pct, one.hazards) for one in found]):
        met = water[name] >= aquatic.LIMIT_PCT
        chronic = cls.startswith("Aquatic Chronic")
        rule = f"CLP 4.1.3.5.5, Table {'4.1.2' if chronic else '4.1.1'} [O]"
        rows = [(by_name[who], pct) for who, pct in of]
        note = "each share times its M-factor and the table's weight"
        if rows and not (chronic and chronic_met):
            lines.append(line(cls, rule, aquatic.LIMIT_PCT, rows, total=water[name], reached=met, note=note))
        chronic_met = chronic_met or (chronic and met)
    return in_sight(lines)


# --- together


def _strictest(lines: Iterable[Line]) -> list[Line]:
    """Of every kind the strictest class that is reached; weaker lines stay for reading, not as reached."""
    best: dict[str, int] = {}
    told = _one_statement(list(lines))
    for one in told:
        if one.reached:
            best[_one_kind(one)] = min(best.get(_one_kind(one), 99), strength(one.cls))
    return [
        replace(one, reached=False, note=joined(one.note, "a stricter one is reached"))
        if one.reached and strength(one.cls) > best[_one_kind(one)]
        else one
        for one in told
    ]


def _one_kind(found: Line) -> str:
    kind = kind_of(found.cls)
    if kind.startswith(("Skin Corr.", "Skin Irrit.")):
        return "skin"
    if kind.startswith("Eye"):
        return "eye"
    return found.h_code if found.cls == "STOT SE 3" else kind


def _one_statement(lines: Sequence[Line]) -> list[Line]:
    """Several ingredients of one kind print one statement: letters merged, H350 before H350i.

    H360 or H361 without letters speaks of both effects: it takes the place of those with letters.
    """
    codes = {one.h_code for one in lines if one.reached}
    both = merged_letters("".join(code[4:] for code in codes if code.startswith(("H360", "H361"))))
    mild = merged_letters("".join(code[4:] for code in codes if code.startswith("H361")))
    said = {
        "Repr. 1": "H360" + ("" if "H360" in codes else both),
        "Repr. 2": "H361" + ("" if "H361" in codes else mild),
    }
    told = []
    for one in lines:
        code = said.get(one.cls[:7], one.h_code) if one.reached else one.h_code
        if one.reached and code == "H350i" and "H350" in codes:
            code = "H350"
        told.append(replace(one, h_code=code))
    return told


def _identifiers(lines: Iterable[Line]) -> tuple[str, ...]:
    """Substances the label names (CLP Art. 18(3)(b) [O]): those behind the classes that ask for it."""
    shares: dict[str, Decimal] = {}
    for one in lines:
        if one.reached and one.cls.startswith(_NAMED) and one.cls != "STOT SE 3":
            for name, pct, _ in one.of:
                shares[name] = max(pct, shares.get(name, D(0)))
    return tuple(sorted(shares, key=lambda name: (-shares[name], name)))


def _organs(found: Sequence[Ingredient], lines: Iterable[Line]) -> dict[str, tuple[str, ...]]:
    organ = {one.name: one.hazards.organ for one in found if one.hazards.organ}
    told: dict[str, list[str]] = {}
    for one in lines:
        if one.reached and one.cls.startswith("STOT") and one.cls != "STOT SE 3":
            told.setdefault(one.h_code, []).extend(organ[name] for name, *_ in one.of if name in organ)
    return {code: tuple(dict.fromkeys(names)) for code, names in told.items() if names}
