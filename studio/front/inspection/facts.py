"""Everything the inspection pack tells, as it is on file at one moment: read, never written."""

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date, datetime, timedelta
from typing import Any

from django.db.models import F, Q
from django.db.models.lookups import Exact
from django.utils import timezone

from safety.calc.composition import CRYSTALLINE_SILICA
from safety.hazards import compare, every_label_in_force, newest
from safety.mixes import digest, mix_of_material, mix_of_version
from safety.models import Classification, Incident, Sheet
from safety.operations.sheets import SECTIONS
from safety.sheets import WORST_FIRST, State, standing_sheets, state_as_read
from studio.front.inspection.rows import Row, small_rows
from studio.front.outdated import whose_bucket_changed
from studio.materials.models import Material
from studio.room import details as who_we_are
from studio.room import policy
from studio.room.models import Details
from studio.room.policy import Policy

LOOKS_BACK = timedelta(days=365)
CMR = ("Carc.", "Muta.", "Repr.")


@dataclass(frozen=True, kw_only=True)
class OfMaterial:
    """A material with its sheets and what its bag's content was found to be; ``found`` None: never."""

    material: Material
    sheets: list[Any]
    state: State
    found: Classification | None

    @property
    def classes(self) -> list[str]:
        """By the studio's law, as last worked out."""
        return self.found.result["classes"] if self.found else []

    @property
    def not_known(self) -> bool:
        """Whether a part of it is not classified, or all of it rests on a sheet that counts as missing."""
        return self.found is None or self.found.missing or self.state.word == "missing"

    @property
    def cmr(self) -> list[str]:
        """Its classes for cancer, genes and reproduction."""
        return [cls for cls in self.classes if cls.startswith(CMR)]

    @property
    def silica(self) -> list[tuple[str, str]]:
        """Crystalline silica in it: name and mass percent of the material."""
        rows = self.found.inputs["substances"] if self.found else []
        return [(row["name"], row["pct"]) for row in rows if row["cas"] in CRYSTALLINE_SILICA]


@dataclass(frozen=True, kw_only=True)
class OfPerson:
    """Somebody of the studio with their sign-offs: kind and last day (None: without an end)."""

    name: str
    role: str
    sign_offs: list[tuple[str, date | None]]


@dataclass(frozen=True, kw_only=True)
class OfLeachTest:
    """A leach test of a recipe in force: of what, the day of its report and the last one it counts for."""

    number: int
    version: int
    name: str
    of: str
    reported: date
    until: date

    def __str__(self) -> str:
        return f"L{self.number:03d}"


@dataclass(frozen=True, kw_only=True)
class Facts:
    """What is on file. ``injuries``: whether the reader may know of them."""

    now: datetime
    rules: Policy
    details: Details
    materials: list[OfMaterial]
    labels: list[Any]
    glazes: list[tuple[Row, Classification | None]]
    bearers: list[Row]
    leach_tests: list[OfLeachTest]
    people: list[OfPerson]
    checks: list[Row]
    acknowledged: list[Row]
    acknowledged_before: int
    incidents: list[Row]
    injuries: bool

    @property
    def today(self) -> date:
        return timezone.localdate(self.now)

    @property
    def not_on_a_sheet(self) -> set[int]:
        """The ids of materials whose sheet counts as missing."""
        return {one.material.pk for one in self.materials if one.state.word == "missing"}

    def not_known_of(self, found: Classification) -> list[str]:
        """Sentences: what of a mixture is not classified, or rests on a sheet that counts as missing now."""
        if found.missing:
            return list(found.inputs["missing"])
        rows = [row["name"] for row in found.inputs["materials"] if row["id"] in self.not_on_a_sheet]
        return [f"The sheet of {', '.join(rows)} counts as missing by now."] if rows else []

    @property
    def last_filed(self) -> Sheet | None:
        """The sheet that came last, of those that stand."""
        rows = [sheet for one in self.materials for sheet in one.sheets]
        return max(rows, key=lambda sheet: sheet.number, default=None)


def read(now: datetime, *, injuries: bool) -> Facts:
    """Everything in ten queries, whatever there is; call it outside any transaction.

    ``injuries``: count them too, for those who may know.
    """
    rules, details, today = policy.in_force(), who_we_are.in_force(), timezone.localdate(now)
    materials, labels, rows = _materials(), every_label_in_force(), small_rows(now - LOOKS_BACK)
    sheets = _sheets(materials)
    versions = sorted(rows.get("version", []), key=lambda row: row.name)
    of_material = {row.pk: digest(mix_of_material(row.pk)) for row in materials}
    of_version = {row.ref: digest(mix_of_version(int(row.ref))) for row in versions}
    of_label = {label.classification.mix_digest for label in labels if label.classification}
    found = newest({*of_material.values(), *of_version.values(), *of_label}, details.law)
    compare(labels, found, details.law)
    whose_bucket_changed(labels)
    incidents = rows.get("incident", [])
    return Facts(
        now=now,
        rules=rules,
        details=details,
        materials=_worst_first(
            OfMaterial(
                material=row,
                sheets=sheets[row.pk],
                state=state_as_read(next(iter(sheets[row.pk]), None), today, rules),
                found=found.get(of_material[row.pk]),
            )
            for row in materials
        ),
        labels=labels,
        glazes=[(row, found.get(of_version[row.ref])) for row in versions],
        bearers=sorted([*rows.get("fill", []), *rows.get("container", [])], key=lambda row: row[:3]),
        leach_tests=_leach_tests(rows.get("leach test", [])),
        people=_people(rows.get("person", [])),
        checks=rows.get("check", []),
        acknowledged=sorted(rows.get("acknowledged", []), key=_newest_first),
        acknowledged_before=sum(row.number or 0 for row in rows.get("acknowledged before", [])),
        incidents=[row for row in incidents if injuries or row.ref == Incident.Kind.SPILL],
        injuries=injuries,
    )


def known_of(label: Any) -> Classification | None:
    """What stands of what a label is on; where nothing does, what it was printed from."""
    return label.now or label.classification


# --- inside


def _newest_first(row: Row) -> float:
    return -row.at.timestamp() if row.at else 0.0


def _materials() -> list[Material]:
    """All that are in use or still here."""
    return list(Material.objects.filter(Q(state=Material.State.CURRENT) | Q(owned_g__gt=0)))


def _sheets(materials: list[Material]) -> dict[int, list[Any]]:
    """The sheets that stand, the newest first, by material; one query.

    Each with ``not_copied``, its sections without words: the words themselves stay where they are.
    """
    found: dict[int, list[Any]] = {row.pk: [] for row in materials}
    empty = {f"empty_{number}": Exact(F(f"section_{number}"), "") for number in SECTIONS}
    asked = standing_sheets().filter(material__in=found).annotate(**empty)
    asked = asked.defer("hazards", "raw", *(f"section_{number}" for number in SECTIONS))
    for sheet in asked.order_by("-number"):
        sheet.not_copied = [number for number in SECTIONS if getattr(sheet, f"empty_{number}")]
        found[sheet.material_id].append(sheet)
    return found


def _worst_first(rows: Iterable[OfMaterial]) -> list[OfMaterial]:
    return sorted(rows, key=lambda one: WORST_FIRST.index(one.state.word))


def _leach_tests(rows: list[Row]) -> list[OfLeachTest]:
    """By the name of the glaze, the newest first."""
    found = []
    for row in sorted(rows, key=lambda row: (row.name, -(row.number or 0))):
        reported, until = map(date.fromisoformat, row.also.split())
        number, version = row.number or 0, int(row.ref)
        of = {"name": row.name, "of": row.more}
        found.append(OfLeachTest(number=number, version=version, **of, reported=reported, until=until))
    return found


def _people(rows: list[Row]) -> list[OfPerson]:
    """Everybody with what they are signed off for, by name."""
    found: dict[int | None, OfPerson] = {}
    for row in sorted(rows, key=lambda row: (row.name, row.number, row.more)):
        one = found.setdefault(row.number, OfPerson(name=row.name, role=row.ref, sign_offs=[]))
        if row.more:
            one.sign_offs.append((row.more, date.fromisoformat(row.also) if row.also else None))
    return list(found.values())
