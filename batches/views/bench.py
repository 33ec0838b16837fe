from uuid import uuid4

from django.db.models import Prefetch
from django.shortcuts import redirect, render
from django.urls import reverse

from batches import standing
from batches.forms.bench import WeighForm
from batches.forms.wet import WaterForm
from batches.gates import set_gates, waiting
from batches.models import Batch, Weighing
from batches.operations.weighing import weigh_line
from batches.views.batch import batch_or_404
from safety.gates import HOLDS, who_may
from studio.fields import plain
from studio.pages import act_page, bound
from studio.people import rights
from studio.people.doors import needs
from studio.words import grams

WEIGHINGS = Prefetch("weighings", Weighing.objects.select_related("lot"))


@needs("see")
def bench(request, number):
    """One line at a time: the first that is not in yet, or the one picked from the list."""
    batch = batch_or_404(number, water_is_in=standing.WATER_IN)
    if batch.state != Batch.State.WEIGHING or batch.held:
        return redirect("batch", number)
    lines = lines_of(batch)
    if not batch.water_is_in:
        form = WaterForm(initial={"water_l": batch.first_water_l})
        return render(
            request,
            "batches/bench_water.html",
            {"batch": batch, "lines": lines, "form": form, "pause_key": uuid4(), "waiting": waiting(lines)},
        )
    line = current_line(lines, request.GET.get("line"))
    return render(request, "batches/bench.html", bench_context(request.user, batch, lines, line))


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
        context=bench_context(request.user, batch, lines, line, form),
        then=lambda weighing: reverse("bench", args=[number]),
        said=lambda weighing: f"{line.name}: {grams(weighing.net_g)} from {weighing.lot.code} is in.",
    )


def lines_of(batch):
    """The lines with what their bench row shows: two queries, and four for their gates."""
    lines = list(batch.lines.select_related("material", "scale").prefetch_related(WEIGHINGS))
    set_gates(batch, lines)
    return lines


def current_line(lines, position=None):
    """The line asked for if it is still open, else the first that is; the last when none is."""
    still = [line for line in lines if line.done_at is None]
    picked = [line for line in lines if str(line.position) == str(position)]
    return (picked or still or lines[-1:])[0]


def bench_context(reader, batch, lines, line, form=None):
    form = form or WeighForm(line=line)
    not_for_me = line.gate.hazardous and not reader.may(rights.HAZARDOUS)
    may_fill = not (not_for_me or line.gate.stopped) or form.is_bound
    lots = form.lots() if may_fill else []
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
        "gate": line.gate,
        "gate_holds": HOLDS,
        "not_for_me": not_for_me,
        "who_may": who_may() if not_for_me else "",
        "may_binder": reader.may(rights.BINDER),
        "may_fill": may_fill,
        "load_g": line.missing_g / max(line.loads - len(line.weighings.all()), 1),
    }
