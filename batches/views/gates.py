from django.shortcuts import get_object_or_404, redirect
from django.urls import reverse
from django.utils import timezone

from batches.gates import OPEN, to_let_through
from batches.models import Batch, Line
from safety.forms.sheets import AcknowledgeForm
from safety.gates import HOLDS, gate_of
from safety.operations.sheets import acknowledge as do_acknowledge
from studio.pages import act_page, bound
from studio.people import rights
from studio.people.doors import EACH_TIME, needs


@needs(rights.BINDER, at_tablet=EACH_TIME)
def acknowledge(request, number, position):
    """A technician lets the material of a line be weighed without a current sheet, and goes back to it."""
    rows = Line.objects.select_related("batch", "material")
    line = get_object_or_404(rows, batch__number=number, position=position)
    if line.batch.state not in OPEN:
        return redirect("batch", number)
    back = _back_to(line)
    gate = gate_of(line.material, what=str(line.batch), today=timezone.localdate())
    if request.method == "GET" and not gate.stopped:
        return redirect(back)
    return act_page(
        request,
        bound(request, AcknowledgeForm),
        do_acknowledge,
        template="batches/acknowledge.html",
        about=to_let_through(line),
        context={"line": line, "batch": line.batch, "gate": gate, "back": back, "holds": HOLDS},
        then=lambda row: back,
        said=f"{line.material.name} may be weighed for {line.batch}. {HOLDS}",
    )


def _back_to(line: Line) -> str:
    """The line on the bench; before weighing began, or while it pauses, the batch."""
    weighing = line.batch.state == Batch.State.WEIGHING and not line.batch.held
    page = reverse("bench" if weighing else "batch", args=[line.batch.number])
    return f"{page}?line={line.position}" if weighing else page
