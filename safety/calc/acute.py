"""Acute toxicity of a mixture from that of what is in it, route by route.

CLP 3.1.3.6 with Tables 3.1.1 and 3.1.2 [O]; US A.1.3.6 with Table A.1.2 [O]; UN GHS 3.1.3.6. EU rules
leave ingredients above category 4 out; the UN text and the US count oral and dermal values up to 5000 mg/kg.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from decimal import Decimal

from safety.calc.hazards import ROUTES as USUAL_ROUTES
from safety.calc.hazards import Hazards
from safety.calc.limits import Rules

D = Decimal
ROUTES = ("oral", "dermal", "inhal_dust", "inhal_vapour")
UPPER = {
    "oral": (D(5), D(50), D(300), D(2000)),
    "dermal": (D(50), D(200), D(1000), D(2000)),
    "inhal_dust": (D("0.05"), D("0.5"), D(1), D(5)),
    "inhal_vapour": (D("0.5"), D(2), D(10), D(20)),
}
POINT = {
    "oral": (D("0.5"), D(5), D(100), D(500)),
    "dermal": (D(5), D(50), D(300), D(1100)),
    "inhal_dust": (D("0.005"), D("0.05"), D("0.5"), D("1.5")),
    "inhal_vapour": (D("0.05"), D("0.5"), D(3), D(11)),
}
ROUTE_WORD = {"oral": "oral", "dermal": "dermal", "inhal_dust": "inhalation", "inhal_vapour": "inhalation"}
RELEVANT_PCT = D(1)
RELEVANT_TOXIC_PCT = D("0.1")  # EU, categories 1 to 3 (CLP Table 1.1 [O]); the US text gives 1 % alone [O]
COUNTED_TO = D(5000)
UNKNOWN_CHANGES_FROM_PCT = D(10)


@dataclass(frozen=True, kw_only=True)
class Estimate:
    """The mixture by one route. ``ate``: None where nothing in it is acutely toxic by that route.

    ``category``: 1 to 4 or None; ``unknown_pct``: mass of ingredients nothing is known of; ``over_pct``: the
    mass the shares were counted over, 100 % unless ``corrected``; ``of``: name, share and ATE of each that
    counted.
    """

    route: str
    ate: Decimal | None
    category: int | None
    unknown_pct: Decimal
    over_pct: Decimal
    of: tuple[tuple[str, Decimal, Decimal], ...]
    corrected: bool


def category_of(route: str, ate: Decimal) -> int | None:
    """1 to 4 by the upper ends of the table, ends included; None above them."""
    return next((n for n, upper in enumerate(UPPER[route], 1) if ate <= upper), None)


def ate_of(hazards: Hazards, route: str) -> Decimal | None:
    """What is published for a route, else the point value of the class; None: not toxic by it, or not known.

    A figure milder than the class that stands beside it does not undo the class: then the point value counts.
    A class "by inhalation" without a figure is taken for dust: nothing in a glaze room is met as vapour.
    """
    point = _point_of(hazards, route)
    if route not in hazards.ate:
        return None if point is None else POINT[route][point - 1]
    published = Decimal(hazards.ate[route])
    if point is not None and published > UPPER[route][point - 1]:
        return POINT[route][point - 1]
    return published


def _point_of(hazards: Hazards, route: str) -> int | None:
    """The category a substance is classed in by a route, if it is."""
    by_inhalation = [name for name in ("inhal_dust", "inhal_vapour") if name in hazards.ate]
    if ROUTE_WORD[route] == "inhalation" and route not in (by_inhalation or ["inhal_dust"]):
        return None
    word = ROUTE_WORD[route]
    return next((n for n in (1, 2, 3, 4) if f"Acute Tox. {n} ({word})" in hazards.classes), None)


def estimate(*, route: str, ingredients: Sequence[tuple[str, Decimal, Hazards]], rules: Rules) -> Estimate:
    """ATE of the mixture: ``100 / ATE = sum(C / ATE)``, with ``100 - U`` where more than 10 % is unknown.

    ``ingredients``: name, mass percent and hazards of each substance once.
    """
    counted, unknown = [], D(0)
    for name, pct, hazards in ingredients:
        ate = ate_of(hazards, route)
        if ate is None:
            if _unknown(route, hazards) and pct >= RELEVANT_PCT:
                unknown += pct
        elif _counts(route, pct, ate, rules):
            counted.append((name, pct, ate))
    corrected = unknown > UNKNOWN_CHANGES_FROM_PCT
    # what counted is known, so never less than that (upper ends of ranges may add beyond 100 %)
    least = sum((pct for _, pct, _ in counted), D(0))
    whole = max(100 - unknown, least) if corrected else D(100)
    parts = sum((pct / ate for _, pct, ate in counted), D(0))
    found = whole / parts if parts else None
    return Estimate(
        route=route,
        ate=found,
        category=None if found is None else category_of(route, found),
        unknown_pct=unknown,
        over_pct=whole,
        of=tuple(counted),
        corrected=corrected,
    )


def _unknown(route: str, hazards: Hazards) -> bool:
    """Whether nothing is known by a route: said so, or no source says anything of the substance at all."""
    return route in hazards.unknown_acute or (route in USUAL_ROUTES and not hazards.known)


def _counts(route: str, pct: Decimal, ate: Decimal, rules: Rules) -> bool:
    category = category_of(route, ate)
    if category is None and not (rules != "CLP" and route in ("oral", "dermal") and ate <= COUNTED_TO):
        return False
    toxic = rules == "CLP" and category is not None and category <= 3
    return pct >= (RELEVANT_TOXIC_PCT if toxic else RELEVANT_PCT)


def rule_of(route: str, rules: Rules) -> str:
    """Where the estimate's rule stands, with its mark."""
    where = {"US-HCS": "US A.1.3.6 [O]", "GHS": "UN GHS 3.1.3.6 [O]"}.get(rules, "CLP 3.1.3.6 [O]")
    return f"{where}, {ROUTE_WORD[route]}: 100 / ATE = sum of share / ATE"
