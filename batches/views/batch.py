from typing import Any

from django.db.models import Sum
from django.http import Http404
from django.shortcuts import get_object_or_404, render
from django.urls import reverse

from batches import standing
from batches.forms.wet import DecisionForm, ReasonForm
from batches.models import Batch, Weighing
from batches.operations import batches as acts
from batches.operations.weighing import take_back_weighing
from safety.models import Label
from safety.operations.labels import labels_in_force
from studio.fields import ActForm
from studio.pages import act_page, bound, person
from studio.people import rights
from studio.people.doors import EACH_TIME, HELD, needs

STAGES = ("planned", "weighing", "wet", "testing", "released")


def batch_or_404(number: str, **also: Any) -> Any:
    """A batch by its number, with what its pages name and what is ``also`` asked of the database."""
    rows = Batch.objects.select_related("vessel", "version__recipe", "request__by")
    return get_object_or_404(rows.annotate(**also), number=number)


@needs("see")
def batch(request, number):
    """The batch as it stands, what is next, and what was recorded."""
    row, reader = batch_or_404(number), person(request)
    lines = list(row.lines.select_related("material", "scale").prefetch_related("weighings__lot"))
    steps = standing.steps_of(row)
    now = standing.standing(row, steps, lines)
    label: Label | None = labels_in_force("batches.batch", [row.pk]).get(row.pk)
    cost = Weighing.objects.filter(line__batch=row).aggregate(sum=Sum("movement__cost"))["sum"]
    return render(
        request,
        "batches/batch.html",
        {
            "batch": row,
            "lines": lines,
            "steps": steps,
            "now": now,
            "to_target": standing.to_target(row, now),
            "stages": _stages(row),
            "label": label,
            "cost": abs(cost) if cost is not None else None,
            "weighings": _weighings(row, may_weigh=reader.may(rights.WEIGH)),
            "key_form": ActForm(),
            "may_weigh": reader.may(rights.WEIGH),
            "may_wet": reader.may(rights.WET),
            "may_make": reader.may(rights.MAKE),
            "may_take_back_steps": reader.may(rights.WET) and row.state in ("weighing", "wet"),
        },
    )


def _weighings(row: Batch, *, may_weigh: bool) -> list[Weighing]:
    """Every weighing, newest first; the corrected ones stay readable."""
    rows = list(Weighing.objects.filter(line__batch=row).select_related("line", "lot", "by").order_by("-id"))
    undone = {w.reverses_id for w in rows if w.reverses_id}
    for weighing in rows:
        weighing.undone = weighing.pk in undone
        weighing.may_take_back = (
            may_weigh
            and row.state in ("weighing", "wet")
            and not row.held
            and not weighing.undone
            and not weighing.reverses_id
        )
    return rows


def _stages(row: Batch):
    """The way of a batch as a list of (word, done, current)."""
    state = "weighing" if row.state == Batch.State.PAUSED else row.state
    if state not in STAGES:
        return []
    here = STAGES.index(state)
    return [(word, index < here or state == "released", index == here) for index, word in enumerate(STAGES)]


def _plain_act(do, question, said):
    """A page for an act that needs nothing but a yes (posted from the batch page)."""

    @needs("weigh")
    def view(request, number):
        row = batch_or_404(number)
        return act_page(
            request,
            bound(request, ActForm),
            do,
            template="batches/confirm.html",
            about={"batch": row},
            context={"question": question},
            then=_to_batch,
            said=said,
        )

    return view


def _to_batch(row: Batch) -> str:
    return reverse("batch", args=[row.number])


pause = _plain_act(acts.pause_batch, "Pause weighing?", "Paused. The place is kept.")
resume = _plain_act(acts.resume_batch, "Go on weighing?", "Weighing goes on.")


def _told_act(form_class, do, right, title, hint, said, button, at_tablet=HELD):
    """A page for an act that needs a reason."""

    @needs("see", post=right, at_tablet=at_tablet)
    def view(request, number):
        row = batch_or_404(number)
        return act_page(
            request,
            bound(request, form_class),
            do,
            template="batches/told.html",
            about={"batch": row},
            context={"title": title, "hint": hint, "button": button},
            then=_to_batch,
            said=said,
        )

    return view


hold = _told_act(
    ReasonForm, acts.hold_batch, "weigh", "Hold this batch",
    "Everything stops until a technician lifts it. Holding costs nothing; doubt is reason enough.",
    "Held.", "Hold it",
)  # fmt: skip
lift = _told_act(
    DecisionForm, acts.lift_batch, "make", "Lift the hold",
    "The batch goes on where it was. What was decided stays in its story.", "Lifted.", "Lift it", EACH_TIME,
)  # fmt: skip
reject = _told_act(
    ReasonForm, acts.reject_batch, "make", "Reject this batch",
    "It failed its tile or its numbers. It goes to the waste glaze, never into a bucket in use.",
    "Rejected.", "Reject it",
)  # fmt: skip


@needs("see", post="weigh")
def take_back(request, number, pk):
    """Take a wrong record of a weighing back."""
    weighing = get_object_or_404(Weighing.objects.select_related("line__batch", "lot"), pk=pk)
    if weighing.line.batch.number != number:
        raise Http404
    return act_page(
        request,
        bound(request, ReasonForm),
        take_back_weighing,
        template="batches/told.html",
        about={"weighing": weighing},
        context={
            "batch": weighing.line.batch,
            "title": f"Take back {weighing.net_g.normalize():f} g of {weighing.line.name}",
            "hint": "For a wrong record only. Powder that is in the bucket stays in the bucket.",
            "button": "Take it back",
        },
        then=lambda row: _to_batch(weighing.line.batch),
        said="Taken back; the first record stays readable.",
    )
