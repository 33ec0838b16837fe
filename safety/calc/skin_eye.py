"""Harm to skin and eyes by sums: CLP 3.2 and 3.3, Tables 3.2.3, 3.2.4, 3.3.3 and 3.3.4 [O].

US A.3, Table A.3.3 is the same [O]; the other US tables are taken to be [M]. Ingredients count from 1 % on
(CLP Table 1.1 [O]), or from their specific limit on.
"""

from collections.abc import Sequence
from decimal import Decimal

from safety.calc.ingredients import Counted, Ingredient, Line, in_sight, joined, line, plain
from safety.calc.limits import Rules

D = Decimal
CUT_OFF_PCT = D(1)
ACID_PH, ALKALI_PH = D(2), D("11.5")
SKIN = ("Skin Corr. 1", "Skin Irrit. 2")
EYE = ("Eye Dam. 1", "Eye Irrit. 2")
SEVERE_SKIN_PCT, SEVERE_EYE_PCT, MILD_PCT = D(5), D(3), D(10)
ALONE_SEVERE_PCT, ALONE_MILD_PCT = D(1), D(3)
_TABLES = {
    "CLP": ("CLP 3.2, Table 3.2.3 [O]", "CLP 3.3, Table 3.3.3 [O]",
            "CLP 3.2, Table 3.2.4 [O]", "CLP 3.3, Table 3.3.4 [O]"),
    "US-HCS": ("US A.2, Table A.2.3 [M]", "US A.3, Table A.3.3 [O]",
               "US A.2, Table A.2.4 [M]", "US A.3, Table A.3.4 [M]"),
}  # fmt: skip


def skin_and_eye(
    *, found: Sequence[Ingredient], non_additive: bool, ph: Decimal | None, rules: Rules
) -> list[Line]:
    """Lines for skin and eyes.

    ``non_additive``: strong acids, bases and others whose harm does not add up: 1 % of a corrosive and 3 %
    of an irritant are enough; the sums are held against their limits all the same. ``ph`` at most 2 or at
    least 11.5 counts as corrosive [O].
    """
    skin, eye, skin_alone, eye_alone = _TABLES.get(rules, _TABLES["CLP"])
    lines = _sums(SKIN, skin, (SEVERE_SKIN_PCT, MILD_PCT), found, rules)
    lines += _sums(EYE, eye, (SEVERE_EYE_PCT, MILD_PCT), found, rules)
    if non_additive:
        note = "does not add up: strong acids, bases and their like"
        lines += _steps(SKIN, skin_alone, (ALONE_SEVERE_PCT, ALONE_MILD_PCT), found, rules, note)
        lines += _steps(EYE, eye_alone, (ALONE_SEVERE_PCT, ALONE_MILD_PCT), found, rules, note)
    lines += _own_mild(SKIN, found) + _own_mild(EYE, found)
    if ph is not None and is_extreme(ph):
        note = f"pH {plain(ph)}: at most 2 or at least 11.5 counts as corrosive unless shown otherwise"
        lines += [
            line(cls, f"{rule}, extreme pH", None, (), reached=True, note=note)
            for cls, rule in ((SKIN[0], skin), (EYE[0], eye))
        ]
    corrosive = next((one for one in lines if one.cls == SKIN[0] and one.reached), None)
    if corrosive is not None:
        also = Line(cls=EYE[0], h_code="H318", rule=eye, limit_pct=None, sum_pct=corrosive.sum_pct,
                    of=corrosive.of, reached=True, note="what is corrosive to skin damages eyes")  # fmt: skip
        lines.append(also)
    return in_sight(lines)


def is_extreme(ph: Decimal) -> bool:
    """Whether a pH counts as corrosive by itself: at most 2 or at least 11.5, ends included [O]."""
    return ph <= ACID_PH or ph >= ALKALI_PH


def _rows(
    pair: tuple[str, str], limits: tuple[Decimal, Decimal], found: Sequence[Ingredient], rules: Rules
) -> tuple[Counted, Counted]:
    """Who counts as severe and who as mild; nobody as both."""
    severe = _counting(found, pair[0][:-2], limits[0], rules)
    if pair == EYE:
        there = {id(one) for one, _ in severe}
        corrosive = [one for one in found if id(one) not in there and _is(one, "Skin Corr.")]
        severe += [(one, pct) for one in corrosive if (pct := _corrosive_to_eyes(one, limits[0], rules))]
    out = {id(one) for one, _ in severe} | {id(one) for one in found if _is_severe(one, pair)}
    return severe, _counting([one for one in found if id(one) not in out], pair[1][:-2], limits[1], rules)


def _is(one: Ingredient, kind: str) -> bool:
    return one.has(kind) or one.own_limit(kind) is not None


def _is_severe(one: Ingredient, pair: tuple[str, str]) -> bool:
    return _is(one, pair[0][:-2]) or (pair == EYE and _is(one, "Skin Corr."))


def _counting(
    found: Sequence[Ingredient], kind: str, usual: Decimal, rules: Rules
) -> list[tuple[Ingredient, Decimal]]:
    rows = ((one, _counts(one, one.own_limit(kind), usual, rules)) for one in found if _is(one, kind))
    return [(one, pct) for one, pct in rows if pct]


def _counts(one: Ingredient, own: Decimal | None, usual: Decimal, rules: Rules) -> Decimal:
    """With what share it counts: a specific limit makes it count for more or, in the EU, for less."""
    whole = one.pct if one.pct >= CUT_OFF_PCT else D(0)
    if own is None:
        return whole
    weighed = one.pct * usual / own if own else usual
    return weighed if rules == "CLP" else max(weighed, whole)


def _corrosive_to_eyes(one: Ingredient, usual: Decimal, rules: Rules) -> Decimal:
    """What is corrosive to skin counts for eyes: by its limit for skin where it has none for eyes."""
    by_skin = _counts(one, one.own_limit("Skin Corr."), usual, rules)
    return by_skin if one.own_limit("Eye ") is not None else max(by_skin, _counts(one, None, usual, rules))


def _weighed(rows: Counted, rules: Rules) -> str:
    """Which shares a specific limit has weighed, so that a reader can follow them."""
    told = [f"{one.name} {plain(one.pct)} %" for one, pct in rows if pct != one.pct]
    return f"weighed by specific limits: {', '.join(told)}" if told else ""


def _towards_mild(severe: Counted, pair: tuple[str, str]) -> Counted:
    """Severe ones as they count for the mild class: a limit for the severe class alone says nothing of it."""
    return [
        (one, pct if one.own_limit(pair[1][:-2]) is not None or one.pct < CUT_OFF_PCT else max(pct, one.pct))
        for one, pct in severe
    ]


def _sums(
    pair: tuple[str, str],
    rule: str,
    limits: tuple[Decimal, Decimal],
    found: Sequence[Ingredient],
    rules: Rules,
) -> list[Line]:
    (severe, mild), (first, second) = pair, _rows(pair, limits, found, rules)
    lines = []
    if first:
        note = _weighed(first, rules)
        lines += [line(severe, rule, limits[0], first, note=note)]
        first = _towards_mild(first, pair)
        lines += [line(mild, rule, D(1), first, note=_weighed(first, rules))]
    if second:
        lines.append(line(mild, rule, limits[1], second, note=_weighed(second, rules)))
    if first and second:
        tens = [(one, 10 * pct) for one, pct in first]
        note = joined(f"10 × what is {severe}, and what is {mild}", _weighed([*first, *second], rules))
        lines.append(line(mild, rule, limits[1], [*tens, *second], note=note))
    return lines


def _steps(
    pair: tuple[str, str],
    rule: str,
    limits: tuple[Decimal, Decimal],
    found: Sequence[Ingredient],
    rules: Rules,
    note: str,
) -> list[Line]:
    both = zip(pair, limits, _rows(pair, limits, found, rules), strict=True)
    return [
        line(cls, rule, limit, rows, note=joined(note, _weighed(rows, rules)))
        for cls, limit, rows in both
        if rows
    ]


def _own_mild(pair: tuple[str, str], found: Sequence[Ingredient]) -> list[Line]:
    """What is severe, yet has a limit of its own from which on it is mild."""
    rows = ((one, one.own_limit(pair[1][:-2])) for one in found if _is_severe(one, pair))
    return [
        line(pair[1], "specific limit of the substance", own, [(one, one.pct)])
        for one, own in rows
        if own is not None
    ]
