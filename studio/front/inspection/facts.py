"""Everything the inspection pack tells, as it is on file at one moment: read, never written."""

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date, datetime, timedelta
from typing import Any

from django.db.models import Exists, F, FilteredRelation, OuterRef, Q
from django.utils import timezone

from buckets.models import Care, Fill
from buckets.operations.standing import STANDS
from safety.calc.composition import CRYSTALLINE_SILICA
from safety.calc.freshness import SheetState
from safety.hazards import newest, reasons
from safety.mixes import digest, mix_of_material, mix_of_version
from safety.models import Classification, Covers, Label, Sheet
from safety.sheets import HERE, WORST_FIRST, state_of
from studio.front.inspection.rows import Row, bearers, happened
from studio.materials.models import Lot, Material
from studio.people.models import Member
from studio.people.models.members import Role
from studio.room import policy
from studio.room.models import Details
from studio.room.policy import Policy

LOOKS_BACK = timedelta(days=365)
WENT_IN = "Powder or an additive went into the bucket since it was printed."
CMR = ("Carc.", "Muta.", "Repr.")


@dataclass(frozen=True, kw_only=True)
class OfMaterial:
    """A material with its sheets and what its bag's content was found to be; ``found`` None: never."""

    material: Material
    sheets: list[Sheet]
    state: SheetState
    found: Classification | None

    @property
    def classes(self) -> list[str]:
        """By the studio's law, as last worked out."""
        return self.found.result["classes"] if self.found else []

    @property
    def signal_word(self) -> str:
        return (self.found.result["label"].get("signal_word") or "") if self.found else ""

    @property
    def known(self) -> bool:
        """Whether every part of it is classified."""
        return self.found is not None and not self.found.missing

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
class Facts:
    """What is on file. ``injuries``: whether the reader may know of them."""

    now: datetime
    rules: Policy
    details: Details
    materials: list[OfMaterial]
    labels: list[Any]
    glazes: list[tuple[Row, Classification | None]]
    bearers: list[Row]
    people: list[OfPerson]
    checks: list[Row]
    acknowledged: list[Row]
    incidents: list[Row]
    injuries: bool

    @property
    def today(self) -> date:
        return timezone.localdate(self.now)

    @property
    def last_filed(self) -> Sheet | None:
        """The sheet that came last, of those that stand."""
        rows = [sheet for one in self.materials for sheet in one.sheets]
        return max(rows, key=lambda sheet: sheet.number, default=None)


def read(now: datetime, *, injuries: bool) -> Facts:
    """Everything in nine queries, whatever there is; call it outside any transaction.

    ``injuries``: count them too, for those who may know.
    """
    rules, details = policy.in_force(), Details.objects.first() or Details()
    materials, labels, others = _materials(), _labels(), bearers()
    sheets = _standing_sheets(materials)
    versions = [row for row in others if row.kind == "version"]
    of_material = {row.pk: digest(mix_of_material(row.pk)) for row in materials}
    of_version = {row.ref: digest(mix_of_version(int(row.ref))) for row in versions}
    of_label = {label.classification.mix_digest for label in labels if label.classification}
    found = newest({*of_material.values(), *of_version.values(), *of_label}, details.law)
    for label in labels:
        _judge(label, found, details.law)
    today, past = timezone.localdate(now), happened(now - LOOKS_BACK)
    return Facts(
        now=now,
        rules=rules,
        details=details,
        materials=_worst_first(
            OfMaterial(
                material=row,
                sheets=sheets[row.pk],
                state=state_of(next(iter(sheets[row.pk]), None), not row.bare, today, rules),
                found=found.get(of_material[row.pk]),
            )
            for row in materials
        ),
        labels=labels,
        glazes=[(row, found.get(of_version[row.ref])) for row in sorted(versions, key=lambda row: row.name)],
        bearers=[row for row in others if row.kind != "version"],
        people=_people(),
        checks=[row for row in past if row.kind == "check"],
        acknowledged=[row for row in past if row.kind == "acknowledged"],
        incidents=[row for row in past if row.kind == "incident" and (injuries or row.ref == "spill")],
        injuries=injuries,
    )


# --- inside


def _materials() -> list[Any]:
    """All that are in use or still here, each with ``bare``: a lot here that no standing sheet covers."""
    covered = Covers.objects.filter(lot=OuterRef("pk"), sheet__replaced_by=None)
    lots = Lot.objects.filter(material=OuterRef("pk"), state__in=HERE)
    rows = Material.objects.filter(Q(state=Material.State.CURRENT) | Q(owned_g__gt=0))
    return list(rows.annotate(bare=Exists(lots.filter(~Exists(covered)))))


def _standing_sheets(materials: list[Any]) -> dict[int, list[Sheet]]:
    """The sheets that stand, the newest first, by material."""
    found: dict[int, list[Sheet]] = {row.pk: [] for row in materials}
    for sheet in Sheet.objects.filter(material__in=found, replaced_by=None).order_by("-number"):
        found[sheet.material_id].append(sheet)
    return found


def _worst_first(rows: Iterable[OfMaterial]) -> list[OfMaterial]:
    return sorted(rows, key=lambda one: WORST_FIRST.index(one.state.word))


def _labels() -> list[Any]:
    """Labels in force, each with ``went_in``: powder or an additive came into its bucket since."""
    came = Care.objects.filter(
        STANDS,
        fill=OuterRef("on_id"),
        kind__in=(Care.Kind.POWDER_IN, Care.Kind.ADDITIVE_IN),
        at__gt=OuterRef("printed_at"),
    )
    rows = Label.objects.exclude(state=Label.State.VOID).select_related("classification")
    in_bucket = Q(on_kind=Fill._meta.label_lower, purpose=Label.Purpose.BUCKET)
    return list(rows.annotate(went_in=in_bucket & Q(Exists(came))).order_by("serial"))


def _judge(label: Any, found: dict[str, Classification], law: str) -> None:
    """What is known now and why the label does not say it."""
    label.now = found.get(label.classification.mix_digest) if label.classification else None
    label.reasons = reasons(label.classification, label.now, law)
    if label.went_in:
        label.reasons = [*label.reasons, WENT_IN]


def _people() -> list[OfPerson]:
    """Everybody who works here now; one query."""
    in_force = FilteredRelation("sign_offs", condition=Q(sign_offs__withdrawn_at=None))
    rows = Member.objects.filter(is_active=True, left_at=None).exclude(role=Role.ROOM)
    found: dict[int, OfPerson] = {}
    told = rows.annotate(held=in_force).order_by("name", "pk", F("held__kind"))
    columns = ("pk", "name", "role", "held__kind", "held__expires_on")
    for pk, name, role, kind, until in told.values_list(*columns):
        one = found.setdefault(pk, OfPerson(name=name, role=role, sign_offs=[]))
        if kind:
            one.sign_offs.append((kind, until))
    return list(found.values())
