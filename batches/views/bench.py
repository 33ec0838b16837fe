from uuid import uuid4

from django.shortcuts import redirect, render
from django.urls import reverse

from batches import standing
from batches.forms.bench import WeighForm
from batches.forms.wet import WaterForm
from batches.models import Batch
from batches.operations.weighing import weigh_line
from batches.views.batch import batch_or_404
from studio.fields import plain
from studio.pages import act_page, bound
from studio.people.doors import needs
from studio.words import grams


@needs("see")
def bench(request, number):
    """One line at a time: the first that is not in yet, or the one picked from the list."""
    batch = batch_or_404(number)
    if batch.state != Batch.State.WEIGHING or batch.held:
        return redirect("batch", number)
    lines = lines_of(batch)
    if not standing.water_is_in(batch):
        form = WaterForm(initial={"water_l": batch.first_water_l})
        return render(
            request,
            "batches/bench_water.html",
            {"batch": batch, "lines": lines, "form": form, "pause_key": uuid4()},
        )
    line = current_line(lines, request.GET.get("line"))
    return render(request, "batches/bench.html", bench_context(batch, lines, line))


@needs("weigh")
def weigh(request, number, position):
    """What the scale shows for one line, from one lot, into the bucket."""
    batch = batch_or_404(number)
    lines = lines_of(batch)
    line = current_line(lines, position)
    form = bound(request, WeighForm, line=line)
    return act_page(
        request,
        form,
        weigh_line,
        template="batches/bench.html",
        about={"line": line},
        context=bench_context(batch, lines, line, form),
        then=lambda weighing: reverse("bench", args=[number]),
        said=lambda weighing: f"{line.name}: {grams(weighing.net_g)} from {weighing.lot.code} is in.",
    )


def lines_of(batch):
    """The lines with what their bench row shows: one query each for lines, scales and lots."""
    return list(batch.lines.select_related("material", "scale").prefetch_related("weighings__lot"))


def current_line(lines, position=None):
    """The line asked for if it is still open, else the first that is; the last when none is."""
    still = [line for line in lines if line.done_at is None]
    picked = [line for line in lines if str(line.position) == str(position)]
    return (picked or still or lines[-1:])[0]


def bench_context(batch, lines, line, form=None):
    form = form or WeighForm(line=line)
    lots = list(form.fields["lot"].queryset)
    after = [other for other in lines if other.done_at is None and other is not line]
    return {
        "batch": batch,
        "lines": lines,
        "line": line,
        "form": form,
        "lots": lots,
        "lot": lots[0] if lots else None,
        "missing": plain(line.missing_g),
        "next_lines": after[:2],
        "pause_key": uuid4(),
        "load_g": line.missing_g / max(line.loads - len(line.weighings.all()), 1),
    }
