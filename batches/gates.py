"""The lines of a batch at their gates: which are hazardous, which wait for a technician, and why."""

from collections.abc import Sequence
from typing import Any

from django.utils import timezone

from batches.errors import BatchNot
from batches.models import Batch, Line
from safety.cautions import Handled
from safety.gates import Gate, gates
from studio.materials.models import Material

OPEN = (Batch.State.PLANNED, Batch.State.WEIGHING, Batch.State.PAUSED)


def set_gates(batch: Batch, lines: Sequence[Any]) -> None:
    """Give each line, fetched with its material, its ``gate``: four queries for any number of lines."""
    handled = [Handled(line.material_id, line.material.name, line.hazard_words) for line in lines]
    found = gates(handled, what=str(batch), today=timezone.localdate())
    for line in lines:
        line.gate = found[line.material_id]


def waiting(lines: Sequence[Any]) -> list[Gate]:
    """The materials of the open lines that wait for a technician, each once. After ``set_gates``."""
    stopped = [line.gate for line in lines if line.done_at is None and line.gate.stopped]
    return list({gate.material: gate for gate in stopped}.values())


def to_let_through(line: Line) -> dict[str, Material | str]:
    """What an acknowledgement for a line is about. BatchNot when nothing of the batch is weighed any more."""
    if line.batch.state not in OPEN:
        raise BatchNot(line.batch, "a material is let through only before it is weighed")
    return {"material": line.material, "what": str(line.batch)}
