"""Classes one ingredient is enough for: sensitisers, CMR, harm to organs (CLP 3.4 to 3.9, US A.4 to A.9).

A group is summed first: boron for reproduction (Note 11 [O]), crystalline silica [P]. Irritation of airways
and drowsiness are summed over all ingredients.
"""

from collections.abc import Iterable, Iterator, Sequence
from decimal import Decimal

from safety.calc.ingredients import Counted, Ingredient, Line, in_sight, joined, line
from safety.calc.limits import H_OF, SE3_H, SE3_PCT, Generic, Rules, generic, place

D = Decimal
OWN = "specific limit of the substance"


def by_share(found: Sequence[Ingredient], rules: Rules) -> list[Line]:
    """Lines of every class a limit of the tables, or a specific one, decides."""
    table = generic(rules)
    lines = []
    for cls in sorted({cls for one in found for cls in _named(one) if cls in table}, key=place):
        for of in _groups([one for one in found if one.hazards.classes.count(cls)], cls, rules):
            lines += [_against(step, of, rules) for step in _steps(table[cls], of, rules)]
        for of in _groups([one for one in found if _by_limit_alone(one, cls, table)], cls, rules):
            usual = next(step for step in table[cls] if step.gives == cls)
            lines += [_against(step, of, rules) for step in _steps((usual,), of, rules)]
    return in_sight(lines)


def _named(one: Ingredient) -> Iterator[str]:
    yield from one.hazards.classes
    yield from (limit.cls for limit in one.hazards.limits)


def _by_limit_alone(one: Ingredient, cls: str, table: dict[str, tuple[Generic, ...]]) -> bool:
    """Whether only a specific limit names the class: "Repr. 2 from 2.5 %" beside Repr. 1A."""
    given = {step.gives for mine in one.hazards.classes for step in table.get(mine, ())}
    return cls not in given and any(limit.cls == cls for limit in one.hazards.limits)


def _groups(found: Sequence[Ingredient], cls: str, rules: Rules) -> list[list[tuple[Ingredient, Decimal]]]:
    alone: list[list[tuple[Ingredient, Decimal]]] = []
    groups: dict[str, list[tuple[Ingredient, Decimal]]] = {}
    for one in found:
        group = one.hazards.sum_group
        if group and (group != "boron" or cls.startswith("Repr.")):
            groups.setdefault(group, []).append((one, one.limit_pct(rules)))
        else:
            alone.append([(one, one.limit_pct(rules))])
    return [*alone, *groups.values()]


def _own(of: Counted, cls: str) -> Decimal | None:
    return min((x.min_pct for one, _ in of for x in one.hazards.limits if x.cls == cls), default=None)


def _steps(usual: Iterable[Generic], of: Counted, rules: Rules) -> list[Generic]:
    """By specific limits where there are: in the EU they win, elsewhere they may only be stricter."""
    steps = []
    for step in usual:
        own = _own(of, step.gives)
        if own is None or (rules != "CLP" and own >= step.pct):
            steps.append(step)
        else:
            steps.append(Generic(own, step.gives, f"{OWN}, before {step.rule}"))
    return steps


def _against(step: Generic, of: Counted, rules: Rules) -> Line:
    note1 = rules == "CLP" and any(one.hazards.note1_fraction is not None for one, _ in of)
    group = of[0][0].hazards.sum_group if len(of) > 1 else ""
    note = joined(
        "Note 1 [M]: the metal alone counts" if note1 else "",
        "summed: boron, Note 11 [O]" if group == "boron" else f"summed: {group} [P]" if group else "",
    )
    total = sum((pct for _, pct in of), D(0))
    return line(step.gives, step.rule, step.pct, of, h_code=_code(step.gives, of, total, rules), note=note)


def _code(cls: str, of: Counted, total: Decimal, rules: Rules) -> str:
    if cls.startswith("Repr."):
        return H_OF[cls] + _letters(cls, of, total, rules)
    if cls.startswith("Carc. 1") and all(one.hazards.carc_inhalation_only for one, _ in of):
        return "H350i"
    return H_OF[cls]


def _letters(cls: str, of: Counted, total: Decimal, rules: Rules) -> str:
    """F and D stand from the limit of category 1 on; f and d from that of category 2 or their own.

    No letter: the statement of both effects, where the letters typed are not those of the category.
    """
    letters = {letter for one, _ in of for letter in one.hazards.repr_effects}
    if cls == "Repr. 2":
        return merged_letters(letter for letter in letters if letter.islower())
    (weak,) = _steps(generic(rules)["Repr. 2"], of, rules)
    strong = {letter for letter in letters if letter.isupper()}
    return merged_letters(letters if strong and total >= weak.pct else strong)


def merged_letters(letters: Iterable[str]) -> str:
    """Letters of H360 and H361 as they are printed: a capital takes its small one's place, F before D."""
    found = set(letters)
    found -= {letter for letter in found if letter.islower() and letter.upper() in found}
    return "".join(sorted(found, key="FDfd".index))


def irritant_or_narcotic(found: Sequence[Ingredient], rules: Rules) -> list[Line]:
    """STOT SE 3, summed for H335 and for H336; a sheet that does not say which means the airways."""
    rule = "US A.8.3.4.5 [M], summed" if rules == "US-HCS" else "CLP 3.8.3.4.5 [O], summed"
    lines = []
    for kind, code in SE3_H.items():
        of = []
        for one in found:
            own = one.own_limit("STOT SE 3")
            if kind not in (one.hazards.stot_se3 or "resp") or not (own is not None or one.has("STOT SE 3")):
                continue
            if own is not None:
                lines.append(line("STOT SE 3", OWN, own, [(one, one.limit_pct(rules))], h_code=code))
            if own is None or rules != "CLP":
                of.append((one, one.limit_pct(rules)))
        if of:
            lines.append(line("STOT SE 3", rule, SE3_PCT, of, h_code=code))
    return in_sight(lines)
