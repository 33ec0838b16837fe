"""What a material asks for before it is weighed: a person signed off for it, and a sheet that is current.

Hazardous is what has a class by the studio's law, and whatever nobody has classified. A technician may let
one through without a current sheet, with a reason: for one batch, until a new sheet of it is filed.
"""

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date
from typing import Any

from django.db.models import Exists, OuterRef, QuerySet

from safety.cautions import Caution, Handled, caution_of
from safety.hazards import newest
from safety.mixes import digest, mix_of_material
from safety.models import Acknowledgement, Classification, Sheet
from safety.sheets import State, sheet_states
from studio.errors import NotAllowed, Refused
from studio.materials.models import Material
from studio.people import rights
from studio.people.models import Member
from studio.people.queries import who_hold
from studio.room import policy

HOLDS = "It holds for this batch, and ends when a new sheet of the material is filed."


@dataclass(frozen=True, kw_only=True)
class Gate:
    """How a material stands before it is weighed for ``what`` ("batch 26-014").

    ``known``: it is classified and its sheet counts. ``classes``: those it has. ``let_through``: the
    acknowledgement that holds, or None.
    """

    material: int
    name: str
    what: str
    known: bool
    classes: tuple[str, ...]
    sheet: State
    let_through: Acknowledgement | None
    caution: Caution

    @property
    def hazardous(self) -> bool:
        """Whether it counts as hazardous: it has a class, or nobody knows."""
        return bool(self.classes) or not self.known

    @property
    def without_sheet(self) -> bool:
        """Whether it is hazardous and its sheet is not current."""
        return self.hazardous and self.sheet.word != "current"

    @property
    def stopped(self) -> bool:
        """Whether it waits until a technician lets it through."""
        return self.without_sheet and self.let_through is None

    @property
    def why_hazardous(self) -> str:
        """A sentence: what makes it hazardous."""
        if self.known:
            return f"{self.name} is hazardous: {'; '.join(self.classes)}."
        return f"Nobody has classified {self.name}, so it counts as hazardous."


class NotSignedOff(NotAllowed):
    """The person is not signed off for hazardous materials; the sentence names who is."""

    def __init__(self, gate: Gate) -> None:
        super().__init__(f"{gate.why_hazardous} {who_may()}")


class NoCurrentSheet(Refused):
    """A hazardous material without a current sheet, and nobody has let it through for this batch."""

    def __init__(self, gate: Gate) -> None:
        super().__init__(
            f"{gate.why_hazardous} {gate.sheet.sentence} It waits until a technician lets it through for "
            f"{gate.what}, with a reason. Nothing was saved."
        )


def gates(handled: Iterable[Handled], *, what: str, today: date) -> dict[int, Gate]:
    """The gate of each material by its id: four queries for any number of them."""
    rows = {row.material: row for row in handled}
    digests = {pk: digest(mix_of_material(pk)) for pk in rows}
    on_file = newest(digests.values())
    states = sheet_states(rows, today, policy.in_force())
    passed = {row.material_id: row for row in standing(rows).filter(what=what).order_by("id")}
    return {
        pk: _gate(row, what, on_file.get(digests[pk]), states[pk], passed.get(pk)) for pk, row in rows.items()
    }


def _gate(
    row: Handled, what: str, kept: Classification | None, sheet: State, passed: Acknowledgement | None
) -> Gate:
    known = kept is not None and not kept.missing and sheet.word != "missing"
    return Gate(
        material=row.material,
        name=row.name,
        what=what,
        known=known,
        classes=_classes(kept.result) if kept else (),
        sheet=sheet,
        let_through=passed,
        caution=caution_of(row, kept if known else None),
    )


def _classes(result: dict[str, Any]) -> tuple[str, ...]:
    """Its classes, and those of what is in it that no share decides (physical hazards)."""
    return (*result["classes"], *result.get("physical_to_review", ()))


def gate_of(material: Material, *, what: str, today: date) -> Gate:
    """The gate of one material."""
    handled = Handled(material.pk, material.name, material.hazard_words)
    return gates([handled], what=what, today=today)[material.pk]


def refuse_at(gate: Gate, by: Member) -> None:
    """Raise NotSignedOff or NoCurrentSheet when this person may not weigh it as things stand."""
    if gate.hazardous and not by.holds(rights.HAZARDOUS):
        raise NotSignedOff(gate)
    if gate.stopped:
        raise NoCurrentSheet(gate)


def who_may() -> str:
    """A sentence: who weighs what is hazardous, by role and by name. One query."""
    names = who_hold(rights.WEIGH, rights.HAZARDOUS)
    here = f"Here that is {' or '.join([', '.join(names[:-1]), names[-1]] if names[1:] else names)}."
    said = "A technician weighs it, or a helper who is signed off for it (hazardous)."
    return f"{said} {here}" if names else f"{said} Nobody here is yet: ask a manager."


def standing(material_ids: Iterable[int]) -> QuerySet[Acknowledgement]:
    """Acknowledgements since which no new sheet of their material was filed, newest first."""
    newer = Sheet.objects.filter(material=OuterRef("material"), entered_at__gt=OuterRef("entered_at"))
    rows = Acknowledgement.objects.filter(~Exists(newer), material__in=list(material_ids))
    return rows.select_related("by").order_by("-id")
