"""What a material is made of by substance, and what is said of a substance that several sources name.

Rules: a range counts at its upper end; of two sources the stricter word counts; crystalline silica counts
for harm to the lungs (STOT RE) by its fine fraction, and wholly where no figure of it is on file.
"""

from collections.abc import Iterable
from dataclasses import dataclass, replace
from decimal import Decimal

from safety.calc.acute import ROUTE_WORD
from safety.calc.by_share import merged_letters
from safety.calc.hazards import ROUTES, Hazards, Limit
from safety.calc.limits import Rules, generic
from safety.calc.mixture import Ingredient, classify

HUNDRED = Decimal(100)
# Quartz, cristobalite, tridymite: numbers from the substances table and from memory (tridymite).
CRYSTALLINE_SILICA = frozenset({"14808-60-7", "14464-46-1", "15468-32-3"})
SILICA_GROUP = "crystalline silica"
LUNGS = "STOT RE"
USUAL_LIMIT = "the usual limit of the class, which one of the sources goes by"


@dataclass(frozen=True, kw_only=True)
class Held:
    """One substance in a material: mass percent of the material, and what is said of it.

    ``part`` tells portions of one substance apart that count differently: "fine", "coarse", "whole".
    ``given``: its share as section 3 of ``sheet`` gives it, in words.
    """

    name: str
    cas: str = ""
    pct: Decimal
    hazards: Hazards
    part: str = ""
    given: str = ""
    sheet: str = ""

    @property
    def key(self) -> tuple[str, str]:
        """Same key, same substance: by CAS number, by its name where there is none."""
        return (self.cas or self.name.strip().casefold(), self.part)


def is_crystalline_silica(cas: str, hazards: Hazards) -> bool:
    """Whether a substance counts by its fine fraction."""
    return cas in CRYSTALLINE_SILICA or hazards.sum_group == SILICA_GROUP


def by_fine_fraction(held: Held, fine_pct: Decimal | None) -> list[Held]:
    """Crystalline silica in two portions: the fine one with all its classes, the rest without STOT RE.

    All kinds of it are summed as one group.
    ``fine_pct``: percent of the material, 0 to ``held.pct``; None: no figure, all of it counts as fine.
    ValueError outside.
    """
    held = replace(held, hazards=replace(held.hazards, sum_group=SILICA_GROUP))
    if fine_pct is None:
        return [replace(held, part="fine")]
    if not 0 <= fine_pct <= held.pct:
        raise ValueError("the fine fraction is part of the silica: between 0 and its share")
    left = tuple(cls for cls in held.hazards.classes if not cls.startswith(LUNGS))
    limits = tuple(limit for limit in held.hazards.limits if not limit.cls.startswith(LUNGS))
    stated = held.hazards.stated if left or not held.hazards.classes else "not hazardous"
    taken = "" if left else "no class: harm to the lungs counts by the fine fraction alone"
    coarse = replace(held.hazards, classes=left, limits=limits, stated=stated, organ="", taken=taken)
    portions = [
        replace(held, part="fine", pct=fine_pct),
        replace(held, part="coarse", pct=held.pct - fine_pct, hazards=coarse),
    ]
    return [portion for portion in portions if portion.pct]


def family(cls: str) -> str:
    """The class without its category: "Carc. 1B" → "Carc.", "Acute Tox. 4 (oral)" → "Acute Tox. (oral)"."""
    if cls == "STOT SE 3":  # irritation or drowsiness: another harm than categories 1 and 2
        return cls
    return " ".join(word for word in cls.split() if not word[:1].isdigit())


def severity(cls: str) -> str:
    """The category of a class, in an order in which the worse stands first: "1A" < "1" < "1B" < "2".

    (A sensitiser 1A counts from a lower share on than one of category 1, which counts as 1B or sooner.)
    """
    found = next((word for word in cls.split() if word[:1].isdigit()), "0")
    return "1AB" if found == "1" else found


def worst(classes: Iterable[str]) -> tuple[str, ...]:
    """Of each family the worst category, in the order they came."""
    found: dict[str, str] = {}
    for cls in classes:
        kept = found.get(family(cls))
        if kept is None or severity(cls) < severity(kept):
            found[family(cls)] = cls
    return tuple(found.values())


def strictest(first: Hazards, second: Hazards) -> Hazards:
    """What two sources say of one substance, the stricter word of both for every figure.

    The lower ATE and limit, the higher M-factor, the plain mass where only one allows the metal's share.
    A source that says nothing adds nothing; sources of both are named.
    """
    if not first.known or not second.known:
        return first if first.known or not second.known else second
    found = Hazards(
        stated="classes" if first.classes or second.classes else "not hazardous",
        classes=worst((*first.classes, *second.classes)),
        ate=_lower(first, second),
        unknown_acute=tuple(
            route for route in ROUTES if route in first.unknown_acute and route in second.unknown_acute
        ),
        m_acute=_higher(first.m_acute, second.m_acute),
        m_chronic=_higher(first.m_chronic, second.m_chronic),
        limits=_limits(first, second),
        sum_group=first.sum_group or second.sum_group,
        note1_fraction=_fraction(first, second),
        repr_effects=merged_letters(first.repr_effects + second.repr_effects),
        carc_inhalation_only=_only_by_inhalation(first, second),
        stot_se3=_joined(first.stot_se3, second.stot_se3),
        organ=_joined(first.organ, second.organ),
        source=_each_once(first.source, second.source),
        status=_each_once(first.status, second.status),
        taken=_each_once(first.taken, second.taken) if first.taken and second.taken else "",
    )
    return replace(found, figures_by=_who_says_what(found, first, second))


def _who_says_what(found: Hazards, first: Hazards, second: Hazards) -> dict[str, str]:
    """The source of every class and figure that not both sources say; that of a limit may be neither's."""
    told = {}
    for name, value in found.figures.items():
        said = [one.said_by(name) for one in (first, second) if one.figures.get(name) == value]
        told[name] = _each_once(*said) if said else USUAL_LIMIT
    return {name: source for name, source in told.items() if source and source != found.source}


def _each_once(*said: str) -> str:
    """Phrases of several sources, each once in the order they were met."""
    return "; ".join(dict.fromkeys(part for text in said for part in text.split("; ") if part))


SENSITISERS, CMR = ("Resp. Sens.", "Skin Sens."), ("Muta.", "Carc.", "Repr.")
# Worse classes that speak of the same harm.
COVERED_BY = {
    "Skin Irrit.": ("Skin Corr.",),
    "Eye Irrit.": ("Eye Dam.", "Skin Corr."),
    "Eye Dam.": ("Skin Corr.",),
}


def unexplained(whole: Hazards, substances: Iterable[Held], rules: Rules = "CLP") -> tuple[str, ...]:
    """Classes a sheet gives to the material as a whole that what it is made of does not come to.

    The substances named are worked out by the same rules; where the sheet is stricter, its word is not lost:
    the material counts for that class with all of its mass.
    """
    named = [
        Ingredient(name=held.name, cas=held.cas, pct=held.pct, hazards=held.hazards) for held in substances
    ]
    found = classify(ingredients=named, rules=rules)
    reached = (*found.classes, *found.physical_to_review)
    return tuple(cls for cls in whole.classes if not any(_says(other, cls) for other in reached))


def _says(other: str, cls: str) -> bool:
    """Whether one class speaks of all the harm of another."""
    if family(other) == family(cls):
        letters = None if family(cls) in (*SENSITISERS, *CMR) else 1
        return severity(other)[:letters] <= severity(cls)[:letters]
    return family(other) in COVERED_BY.get(family(cls), ())


def left_to_whole(whole: Hazards, more: tuple[str, ...]) -> Hazards:
    """What a material as a whole counts for: these classes alone, with the figures that belong to them."""
    ate = {
        route: value
        for route, value in whole.ate.items()
        if any(cls.endswith(f"({ROUTE_WORD[route]})") for cls in more)
    }
    limits = tuple(limit for limit in whole.limits if any(family(limit.cls) == family(cls) for cls in more))
    return replace(whole, classes=more, ate=ate, limits=limits)


def merged(substances: Iterable[Held]) -> list[Held]:
    """Every substance once: the larger share and the stricter word of all that name it."""
    found: dict[tuple[str, str], Held] = {}
    for held in substances:
        kept = found.get(held.key)
        found[held.key] = held if kept is None else _one_of(kept, held)
    return list(found.values())


def _one_of(kept: Held, held: Held) -> Held:
    """Two portions of one substance as one: as the sheet with the larger share gives it."""
    larger = held if held.pct > kept.pct else kept
    hazards = strictest(kept.hazards, held.hazards)
    return replace(kept, pct=larger.pct, given=larger.given, sheet=larger.sheet, hazards=hazards)


def _lower(first: Hazards, second: Hazards) -> dict[str, Decimal]:
    routes = dict.fromkeys((*first.ate, *second.ate))
    return {route: min(one.ate[route] for one in (first, second) if route in one.ate) for route in routes}


def _higher(first: int | None, second: int | None) -> int | None:
    known = [factor for factor in (first, second) if factor is not None]
    return max(known, default=None)


def _limits(first: Hazards, second: Hazards) -> tuple[Limit, ...]:
    """The lower limit of both; where one source goes by the usual limit, that counts when it is lower."""
    found: dict[str, Decimal] = {}
    for one, other in ((first, second), (second, first)):
        named = {limit.cls for limit in other.limits}
        for limit in one.limits:
            beside = limit.min_pct if limit.cls in named else usual_limit_pct(limit.cls)
            found[limit.cls] = min(limit.min_pct, beside, found.get(limit.cls, limit.min_pct))
    return tuple(Limit(cls=cls, min_pct=pct) for cls, pct in found.items())


def usual_limit_pct(cls: str) -> Decimal:
    """The generic limit of CLP from which one ingredient of a class gives the mixture that class, or 100."""
    steps = generic("CLP").get(cls, ())
    return next((step.pct for step in steps if step.gives == cls), HUNDRED)


def _fraction(first: Hazards, second: Hazards) -> Decimal | None:
    if first.note1_fraction is None or second.note1_fraction is None:
        return None
    return max(first.note1_fraction, second.note1_fraction)


def _only_by_inhalation(first: Hazards, second: Hazards) -> bool:
    cancer = [one for one in (first, second) if any(cls.startswith("Carc.") for cls in one.classes)]
    return bool(cancer) and all(one.carc_inhalation_only for one in cancer)


def _joined(first: str, second: str) -> str:
    return ", ".join(dict.fromkeys(name for name in (first, second) if name))
