"""Food contact: what the tests on record let a page or a label say of recipe versions and mixtures.

A label of one version by itself says what its tests support; whatever else is in a bucket takes that away,
and what one part of a mixture may not be used for, the whole may not.
"""

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date
from decimal import Decimal
from typing import Any

from django.db.models import Prefetch
from django.utils import timezone

from safety.calc.careful import Analysed, Careful, careful_of
from safety.calc.contact import NO_LEACH_TEST, Said, Verdict, gravity, may_be_said, verdict_of
from safety.calc.leach import LimitSet, Result, Tested
from safety.contact_tables import careful_elements, limit_sets, limits_of_law
from safety.hazards import OWN_LAW
from safety.mixes import Mix, from_plain
from safety.models import Label, LeachResult, LeachTest, Sheet
from safety.substances import by_cas
from studio.materials.models import Lot, Material
from studio.recipes.models import Line
from studio.room import details

IN_USE = (Lot.State.RELEASED, Lot.State.USED_UP)


@dataclass(frozen=True, kw_only=True)
class Food:
    """The sentence on a label about food contact, and the last day it holds (None: no end)."""

    sentence: str = NO_LEACH_TEST
    until: date | None = None


NOTHING = Food()


def own_limits() -> LimitSet:
    """The limits a studio goes by, under the law it works under. One query."""
    return limits_of_law(details.in_force().law)


def standing_tests() -> Any:
    """Leach tests that no correction replaces, newest first: with version, results, the studio's ``law``."""
    results = Prefetch("results", queryset=LeachResult.objects.order_by("element", "piece"))
    rows = LeachTest.objects.filter(replaced_by=None).order_by("-number").annotate(law=OWN_LAW)
    return rows.select_related("version__recipe").prefetch_related(results)


def as_tested(row: LeachTest, newer_lots: Iterable[str] = ()) -> Tested:
    """A test as the rules read it. Fetch it with its version and results."""
    return Tested(
        name=str(row),
        version=row.version.number,
        clay=row.clay,
        firing=row.firing,
        layers=row.layers,
        method=row.method,
        leachant=row.leachant,
        hours=row.hours,
        temperature_c=row.temperature_c,
        depth_mm=row.depth_mm,
        volume_ml=row.volume_ml,
        use=row.use,
        pieces=row.pieces,
        reported_on=row.reported_on,
        expires_on=row.expires_on,
        results=tuple(
            Result(piece=r.piece, element=r.element, value=r.value, unit=r.unit, below=r.below)
            for r in row.results.all()
        ),
        limits=limit_sets().get(row.limit_set),
        newer_lots=tuple(newer_lots),
    )


def verdicts(rows: Iterable[LeachTest], today: date | None = None) -> list[Verdict]:
    """Each test by itself, today; lots of its materials that came since count. At most four queries."""
    rows = list(rows)
    limits, day = own_limits(), today or timezone.localdate()
    known = _known({row.version_id for row in rows}, ())
    lots = _lots_since(rows, known)
    return [verdict_of(as_tested(row, lots.get(row.pk, ())), limits, day) for row in rows]


def verdict_alone(row: LeachTest, today: date | None = None) -> Verdict:
    """A test by itself whatever came since, for a record that is history. One query."""
    return verdict_of(as_tested(row), own_limits(), today or timezone.localdate())


def said_of_versions(version_ids: Iterable[int], today: date | None = None) -> dict[int, Said]:
    """What may be said of each version: at most five queries, two without a test, however many there are."""
    ids = set(version_ids)
    return _said(ids, _known(ids, ()), today or timezone.localdate())


def food_sentence(version_ids: Iterable[int | None], today: date | None = None) -> dict[int | None, str]:
    """The sentence on a label of each version by itself; of None, and of an unknown one, the usual one."""
    ids = list(version_ids)
    said = said_of_versions((pk for pk in ids if pk is not None), today)
    return {pk: said[pk].label if pk is not None and pk in said else NO_LEACH_TEST for pk in ids}


def food_of_mixes(
    mixes: Iterable[Mix], today: date | None = None, *, mixed_before: bool = False
) -> list[Food]:
    """What the label of each mixture says of food, in the order given: at most six queries for all.

    ``mixed_before``: they were mixed already, so lots that came since are not in them.
    """
    mixes = list(mixes)
    versions = {pk for mix in mixes for pk in mix.versions}
    known = _known(versions, {pk for mix in mixes for pk in mix.materials})
    said = _said(versions, known, today or timezone.localdate(), new_lots=not mixed_before)
    return [_food(mix, said, known) for mix in mixes]


def says_too_much(labels: Iterable[Label]) -> list[Label]:
    """Of labels that have their ``reasons`` those that say something milder of food than is known now; it is
    one more reason. At most five queries; ``labels`` with their classification."""
    known: list[Any] = [label for label in labels if label.classification is not None]
    mixes = [from_plain(label.classification.mix) for label in known]
    now = food_of_mixes(mixes, mixed_before=True)
    found = []
    for label, food in zip(known, now, strict=True):
        printed = (label.content.get("hazards") or {}).get("food") or NO_LEACH_TEST
        if gravity(food.sentence) > gravity(printed):
            label.reasons = [*label.reasons, f"Food contact, now: {food.sentence}"]
            found.append(label)
    return found


# --- inside


@dataclass(frozen=True, kw_only=True)
class _Known:
    """What is in versions and materials, by their ids; ``analysed`` by the id of the material."""

    lines: dict[int, list[int]]
    analysed: dict[int, Analysed]

    def careful(self, materials: Iterable[int]) -> Careful:
        return careful_of((self.analysed[pk] for pk in materials), careful_elements())

    def flagged(self, version: int) -> list[int]:
        """Materials of a version that bring an element to be careful with."""
        return [pk for pk in self.lines.get(version, ()) if self.careful([pk]).flags]


def _known(versions: Iterable[int], materials: Iterable[int]) -> _Known:
    """Names and substances of everything in ``versions``, and of ``materials``: at most three queries."""
    lines: dict[int, list[int]] = {pk: [] for pk in versions}
    names: dict[int, dict[str, None]] = {}
    rows = Line.objects.filter(version__in=lines).order_by("version", "position", "material__aliases__pk")
    columns = ("version_id", "material_id", "material__name", "material__aliases__name")
    for version, pk, name, alias in rows.values_list(*columns) if lines else ():
        lines[version] += [] if pk in lines[version] else [pk]
        names.setdefault(pk, {name: None})[alias or name] = None
    wanted = set(names) | set(materials)
    others = Material.objects.filter(pk__in=wanted - set(names)).order_by("pk")
    for pk, name, alias in others.values_list("pk", "name", "aliases__name") if wanted - set(names) else ():
        names.setdefault(pk, {name: None})[alias or name] = None
    substances = _substances(wanted)
    analysed = {
        pk: Analysed(name=next(iter(found)), names=tuple(found), substances=tuple(substances.get(pk, ())))
        for pk, found in names.items()
    }
    return _Known(lines=lines, analysed=analysed)


def _substances(materials: set[int]) -> dict[int, list[tuple[tuple[str, ...], str, Decimal]]]:
    """Substances of each material by its standing sheets, those named twice once: one query."""
    rows = Sheet.objects.filter(material__in=materials, replaced_by=None).order_by("number")
    found: dict[int, dict[str, tuple[tuple[str, ...], str, Decimal]]] = {}
    columns = ("material_id", "constituents__name", "constituents__cas", "constituents__high_pct")
    for pk, name, cas, pct in rows.values_list(*columns):
        if name is None:
            continue
        of_table = [row.name for row in by_cas(cas)]
        found.setdefault(pk, {})[f"{cas or name}"] = ((name, *of_table), cas, pct)
    return {pk: list(rows.values()) for pk, rows in found.items()}


def _said(versions: set[int], known: _Known, today: date, *, new_lots: bool = True) -> dict[int, Said]:
    tests = list(standing_tests().filter(version__in=versions)) if versions else []
    limits = limits_of_law(tests[0].law if tests else "EU")  # without a test none is looked at
    lots = _lots_since(tests, known) if new_lots else {}
    return {
        version: may_be_said(
            tests=[as_tested(row, lots.get(row.pk, ())) for row in tests if row.version_id == version],
            elements=known.careful(known.lines[version]),
            limits=limits,
            today=today,
        )
        for version in versions
    }


def _lots_since(tests: list[LeachTest], known: _Known) -> dict[int, list[str]]:
    """Lots of flagged materials that came after a test was reported, in words, by test: one query."""
    flagged = {row.version_id: known.flagged(row.version_id) for row in tests}
    materials = {pk for found in flagged.values() for pk in found}
    if not materials:
        return {}
    first = min(row.reported_on for row in tests)
    rows = Lot.objects.filter(material__in=materials, state__in=IN_USE, received_on__gt=first)
    lots = list(rows.select_related("material").order_by("received_on", "pk"))
    return {
        row.pk: [
            f"lot {lot.code} of {lot.material.name}"
            for lot in lots
            if lot.material_id in flagged[row.version_id] and lot.received_on > row.reported_on
        ]
        for row in tests
    }


def _food(mix: Mix, said: dict[int, Said], known: _Known) -> Food:
    parts = [said[pk] for pk in mix.versions if pk in said]
    if len(mix.parts) == 1 and parts:
        return Food(sentence=parts[0].label, until=parts[0].until)
    of_materials = may_be_said(
        tests=(), elements=known.careful(mix.materials), limits=limits_of_law("EU"), today=date.min
    )
    gravest = max((*(one.label for one in parts), of_materials.label), key=gravity)
    return Food(sentence=gravest) if gravity(gravest) > gravity(NO_LEACH_TEST) else NOTHING
