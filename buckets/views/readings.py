"""Take a reading, and what it says: verdict, agreement with the one before, the next act."""

from dataclasses import dataclass
from datetime import timedelta
from decimal import Decimal
from typing import Any

from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.urls import reverse
from django.utils import timezone

from buckets.answers import answer_of, window
from buckets.forms.readings import ReadingForm
from buckets.models import Care, Fill, Reading
from buckets.operations.readings import counts_as_check, record_reading
from buckets.operations.standing import STANDS
from buckets.queries import change_of, dip_check_of, fill_in
from buckets.unexpected import asked_about
from buckets.views.at import acted_on, units_of
from buckets.views.bucket import reading_facts
from buckets.views.parts.needs import needs as needs_of
from studio.calc.gravity import mean_of_readings
from studio.pages import act_page, bound, person
from studio.people import rights
from studio.people.doors import needs
from studio.quantities import rounded
from studio.room import policy
from studio.room.measuring import uncertainty_of, verdict_of
from studio.room.models import Glass, Scale
from studio.room.policy import Policy

SAME_STIR = timedelta(hours=18)  # overnight still counts as one; common practice, no source
ABOUT_SG = Decimal("1.45")  # for a fill without a target, to say what a pair of instruments can tell


@dataclass(frozen=True, kw_only=True)
class Pair:
    """A glass and a scale together: how well they know an SG (U, k = 2), and what that decides."""

    glass: Glass
    scale: Scale
    doubt: Decimal
    decides_within: Decimal | None

    @property
    def too_coarse(self) -> bool:
        """Whether this pair can never call a reading inside the window."""
        return self.decides_within is not None and self.decides_within <= 0


def pairs_of(fill: Fill, glasses: list[Glass], scales: list[Scale]) -> list[Pair]:
    """Every pair in the room, the best first."""
    sg = fill.target_sg or ABOUT_SG
    pairs = []
    for glass in glasses:
        for scale in scales:
            doubt = 2 * uncertainty_of(sg=sg, glass=glass, scale=scale)
            within = fill.half_window - doubt if fill.half_window is not None and fill.target_sg else None
            pairs.append(Pair(glass=glass, scale=scale, doubt=doubt, decides_within=within))
    return sorted(pairs, key=lambda pair: pair.doubt)


@needs("use")
def record(request: HttpRequest, code: str) -> HttpResponse:
    """Weigh a known volume, or type the number."""
    fill = acted_on(request, code)
    if fill is None and request.method != "POST":
        return redirect("bucket", code)
    glasses = list(Glass.objects.filter(retired_at=None))
    scales = list(Scale.objects.filter(retired_at=None))
    form = bound(request, ReadingForm, fill=fill)
    assert isinstance(form, ReadingForm)  # noqa: S101 - for the type checker
    form.suggest(glasses=glasses, scales=scales)
    by = person(request)
    context = {
        "code": code,
        "units": units_of(request),
        "pairs": pairs_of(fill, glasses, scales) if fill else [],
        "window": window(fill) if fill else "",
        "is_check": counts_as_check(by),
        "rules": policy.in_force(),
    }
    return act_page(
        request,
        form,
        record_reading,
        template="buckets/reading_form.html",
        about={"fill": fill},
        context=context,
        then=lambda row: reverse("reading", args=[code, row.pk]),
    )


@needs("see")
def reading(request: HttpRequest, code: str, pk: int) -> HttpResponse:
    """What one reading says, and what to do next."""
    row = get_object_or_404(
        Reading.objects.select_related("by", "glass", "scale", "replaced_by", "fill__vessel"),
        pk=pk,
        fill__vessel__code=code,
        replaces=None,
    )
    rules, now = policy.in_force(), timezone.now()
    fill = fill_in(code)
    there = fill if fill and fill.pk == row.fill_id else None
    before = _before(row)
    newest = there is not None and row.pk in (there.check_reading_id, there.member_reading_id)
    context: dict[str, Any] = {
        "fill": row.fill,
        "code": code,
        "units": units_of(request),
        "row": row,
        "facts": reading_facts(row, row.fill),
        "window": window(row.fill),
        "before": before,
        "repeat": _repeat(row, before, rules),
        "there": there,
        "newest": newest,
        "rules": rules,
        "may_wet": person(request).may(rights.WET),
        "may_make": person(request).may(rights.MAKE),
        "asked": asked_about(row),
        "may_move": _may_move(row, person(request)),
    }
    if there and newest:
        context["check"] = answer_of(there, dip_check_of(there, now, rules), now, rules)
        context["changed"] = change_of(there)
        context["needs"] = needs_of(there, context["facts"], context["changed"], rules)
        context["advice"] = context["needs"]["advice"]
    return render(request, "buckets/reading.html", context)


def _may_move(row: Reading, reader: Any) -> bool:
    """Whether this person may put it on another bucket: a technician, or who took it, on that day."""
    own = row.by_id == reader.pk and timezone.localdate(row.entered_at) == timezone.localdate()
    stands = getattr(row, "replaced_by", None) is None
    return stands and row.fill.emptied_at is None and (own or reader.may(rights.MAKE))


def _before(row: Reading) -> Reading | None:
    """The standing reading before this one, of the same stir: nothing was done to the bucket in between."""
    before = (
        Reading.objects.filter(fill=row.fill_id, sg__isnull=False, replaced_by=None, at__lte=row.at)
        .exclude(pk=row.pk)
        .select_related("by")
        .order_by("-at", "-id")
        .first()
    )
    if before is None or row.sg is None:
        return None
    between = row.fill.care.filter(STANDS, at__gt=before.at, at__lte=row.at, kind=Care.Kind.WATER_IN)
    return None if between.exists() or row.at - before.at > SAME_STIR else before


def _repeat(row: Reading, before: Reading | None, rules: Policy) -> dict[str, Any] | None:
    """Both readings together: their mean, whether they agree, and the verdict of the mean."""
    if before is None or row.sg is None or before.sg is None:
        return None
    together = mean_of_readings(
        readings=[float(row.sg), float(before.sg)], agree_within=float(rules.repeatability)
    )
    mean, fill = rounded(together.mean, 4), row.fill
    # glass and scale stay the same, so the mean is known no better than the worse of the two
    known = [u for u in (row.u_sg, before.u_sg) if u is not None]
    u_sg = max(known) if len(known) == 2 else None
    return {
        "agree": together.agree,
        "spread": together.spread,
        "mean": mean,
        "verdict": verdict_of(sg=mean, u_sg=u_sg, target=fill.target_sg, half_window=fill.half_window),
    }
