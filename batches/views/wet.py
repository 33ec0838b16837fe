from django.http import Http404
from django.shortcuts import get_object_or_404
from django.urls import reverse

from batches import standing
from batches.forms.wet import BatchReadingForm, GrossForm, ReasonForm, SieveForm, WaterForm
from batches.models import Batch, Step
from batches.operations import wet as acts
from batches.views.batch import batch_or_404
from studio import words
from studio.pages import act_page, bound
from studio.people.doors import needs
from studio.room import measuring


def _wet_act(form_class, do, template, said, initial=None):
    """A page for one act on a batch in the wet; afterwards the bench or the batch page."""

    @needs("see", post="wet")
    def view(request, number):
        batch = batch_or_404(number)
        now = standing.standing(batch)
        kwargs = {"initial": initial(batch, now)} if initial and request.method == "GET" else {}
        return act_page(
            request,
            bound(request, form_class, **kwargs),
            do,
            template=template,
            about={"batch": batch},
            context={"now": now, "to_target": standing.to_target(batch, now)},
            then=lambda step: reverse(
                "bench" if step.batch.state == Batch.State.WEIGHING else "batch", args=[number]
            ),
            said=said,
        )

    return view


def _water_to_offer(batch, now):
    """First water, or the first share to the target, in the field already."""
    if not now.water_l:
        return {"water_l": batch.first_water_l}
    offer = standing.to_target(batch, now)
    return {"water_l": offer.first_l} if offer else {}


def _said_reading(step: Step) -> str:
    """What the reading means, in words."""
    batch = step.batch
    verdict = measuring.verdict_of(
        sg=step.sg, u_sg=step.u_sg, target=batch.to_sg, half_window=batch.half_window
    )
    return f"SG {words.sg(step.sg)}: {verdict.word} the window." if verdict else f"SG {words.sg(step.sg)}."


add_water = _wet_act(
    WaterForm,
    acts.add_water,
    "batches/water.html",
    lambda step: f"{words.litres(step.water_l)} water is in.",
    _water_to_offer,
)
sieve = _wet_act(
    SieveForm,
    acts.sieve_batch,
    "batches/sieve.html",
    lambda step: f"Sieved at {step.mesh} mesh.",
    lambda batch, now: {"mesh": batch.copy.get("sieve_mesh")},
)
weigh_bucket = _wet_act(
    GrossForm,
    acts.weigh_bucket,
    "batches/gross.html",
    lambda step: f"Bucket weighed: {words.mass(step.gross_g)}.",
)
read = _wet_act(BatchReadingForm, acts.record_batch_reading, "batches/reading.html", _said_reading)


@needs("see", post="wet")
def take_back(request, number, pk):
    """Take a wrong record of a step back."""
    step = get_object_or_404(Step.objects.select_related("batch"), pk=pk)
    if step.batch.number != number:
        raise Http404
    return act_page(
        request,
        bound(request, ReasonForm),
        acts.take_back_step,
        template="batches/told.html",
        about={"step": step},
        context={
            "batch": step.batch,
            "title": f"Take back: {step.get_kind_display()}",
            "hint": "For a wrong record only. What is in the bucket stays in the bucket.",
            "button": "Take it back",
        },
        then=lambda row: reverse("batch", args=[number]),
        said="Taken back; the first record stays readable.",
    )
