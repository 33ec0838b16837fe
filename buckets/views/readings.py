"""Take a reading, and what it says: verdict, agreement with the one before, the next act."""

from typing import Any

from django.db.models import Q
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
from buckets.repeats import SAME_STIR, Together, standing_first, together
from buckets.unexpected import asked_about
from buckets.views.at import acted_on, units_of
from buckets.views.bucket import reading_facts
from buckets.views.parts.needs import needs as needs_of
from buckets.views.parts.scales import by_weight, pairs_for
from buckets.ways import BY_METHOD, BY_SLUG, Way, in_order
from studio.calc.typed import SLIPPED
from studio.pages import act_page, bound, person
from studio.people import rights
from studio.people.doors import needs
from studio.people.models import Member
from studio.room import policy
from studio.room.measuring import verdict_of
from studio.room.models import Glass, Hydrometer, Scale
from studio.room.policy import Policy

ROW = ("by", "glass", "scale", "hydrometer", "replaced_by", "fill__vessel")


@needs("use")
def record(request: HttpRequest, code: str) -> HttpResponse:
    """How do you measure? Then what that way asks for: ``?way=hydrometer`` in the address."""
    fill = acted_on(request, code)
    if fill is None and request.method != "POST":
        return redirect("bucket", code)
    by = person(request)
    last = _last_by(by)
    way = _way(request, last)
    if way is None and request.method != "POST":
        context = {"fill": fill, "code": code, "units": units_of(request), "last": last, **_known(fill)}
        return render(request, "buckets/reading_way.html", {**context, "ways": in_order(last)})
    glasses = list(Glass.objects.filter(retired_at=None))
    scales = list(Scale.objects.filter(retired_at=None))
    form = bound(request, ReadingForm, fill=fill, way=way, theirs=_theirs(by))
    assert isinstance(form, ReadingForm)  # noqa: S101 - for the type checker
    if way is None or way.slug == "weighed":
        form.suggest(glasses=glasses, scales=scales)
    if way is not None and way.slug == "hydrometer":
        floats = list(Hydrometer.objects.filter(retired_at=None)[:2])
        if len(floats) == 1:
            form.initial["hydrometer"] = floats[0].pk
    again = _again(request, fill)
    if again is not None:
        form.initial["repeats"] = again.pk
    rules = policy.in_force()
    context = {
        "code": code,
        "units": units_of(request),
        "way": way,
        "ways": in_order(last),
        "last": last,
        "again": again,
        "pairs": pairs_for(fill, glasses, scales) if fill else None,
        "weight": by_weight(fill, scales) if fill else None,
        "is_check": counts_as_check(by),
        "rules": rules,
        **_known(fill),
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


def _known(fill: Fill | None) -> dict[str, Any]:
    return {"window": window(fill) if fill else ""}


def _last_by(by: Member) -> str | None:
    """The method this person measured by the last time."""
    return (
        Reading.objects.filter(by=by, sg__isnull=False)
        .order_by("-id")
        .values_list("method", flat=True)
        .first()
    )


def _theirs(by: Member) -> str:
    """The unit this person meant the last time a number could be read in several ways."""
    picked = Reading.objects.filter(by=by, as_read__isnull=False, hydrometer=None).exclude(raw="")
    last = picked.filter(raw__contains="sg_pick=").order_by("-id").values_list("method", flat=True).first()
    return SLIPPED if last == Reading.Method.TYPED else last or ""


def _way(request: HttpRequest, last: str | None) -> Way | None:
    """The way a form was made for, or that is in the address, or this person's last one; None: to choose."""
    if request.method == "POST":
        return BY_METHOD.get(request.POST.get("way", ""))
    said = request.GET.get("way")
    return BY_SLUG.get(said) if said is not None else BY_METHOD.get(last or "")


def _again(request: HttpRequest, fill: Fill | None) -> Reading | None:
    """The reading that is to be measured once more, if it is one of this fill."""
    said = request.POST.get("repeats") or request.GET.get("again", "")
    if fill is None or not said.isascii() or not said.isdigit() or len(said) > 18:
        return None
    return Reading.objects.filter(fill=fill, pk=int(said), sg__isnull=False, replaced_by=None).first()


@needs("see")
def reading(request: HttpRequest, code: str, pk: int) -> HttpResponse:
    """What one reading says, and what to do next."""
    row = get_object_or_404(
        Reading.objects.select_related(*ROW, "repeats__replaced_by", "repeats__by"),
        pk=pk,
        fill__vessel__code=code,
        replaces=None,
    )
    rules, now = policy.in_force(), timezone.now()
    fill = fill_in(code)
    there = fill if fill and fill.pk == row.fill_id else None
    newest = there is not None and row.pk in (there.check_reading_id, there.member_reading_id)
    facts = reading_facts(row, row.fill, rules.repeatability)
    asked = asked_about(row)
    context: dict[str, Any] = {
        "fill": row.fill,
        "code": code,
        "units": units_of(request),
        "row": row,
        "facts": facts,
        "window": window(row.fill),
        **_with_before(row, rules),
        "there": there,
        "newest": newest,
        "rules": rules,
        "may_wet": person(request).may(rights.WET),
        "may_make": person(request).may(rights.MAKE),
        "asked": asked,
        "may_move": _may_move(row, person(request)),
    }
    if there and newest:
        context["once_more"] = _once_more(row, facts, surprise=asked is not None)
        context["check"] = answer_of(there, dip_check_of(there, now, rules), now, rules)
        context["changed"] = change_of(there)
        context["needs"] = needs_of(there, facts, context["changed"], rules)
        context["advice"] = context["needs"]["advice"]
    if facts and facts["verdict"] and facts["verdict"].accept_within <= 0:
        room = {"retired_at": None}
        glasses, scales = Glass.objects.filter(**room), Scale.objects.filter(**room)
        context["pairs"] = pairs_for(row.fill, list(glasses), list(scales))
    return render(request, "buckets/reading.html", context)


def _may_move(row: Reading, reader: Any) -> bool:
    """Whether this person may put it on another bucket: a technician, or who took it, on that day."""
    own = row.by_id == reader.pk and timezone.localdate(row.entered_at) == timezone.localdate()
    stands = getattr(row, "replaced_by", None) is None
    return stands and row.fill.emptied_at is None and (own or reader.may(rights.MAKE))


def _once_more(row: Reading, facts: dict[str, Any] | None, *, surprise: bool) -> str:
    """Why to measure once more; empty when it need not be, or was done already."""
    if facts is None or row.repeats_id is not None:
        return ""
    if surprise:
        return "It is not what was to be expected."
    if facts["verdict"] and facts["verdict"].word == "undecided":
        return "This one cannot tell."
    return "It is the first since the glaze was changed or poured." if _first_of_segment(row) else ""


def _first_of_segment(row: Reading) -> bool:
    """Whether no other reading of its kind stands since the last change of the glaze."""
    changes = row.fill.care.filter(STANDS, kind__in=Care.CHANGES, at__lte=row.at).order_by("-at", "-id")
    since = changes.values_list("at", flat=True).first()
    earlier = Reading.objects.filter(fill=row.fill_id, sg__isnull=False, replaced_by=None, replaces=None)
    earlier = earlier.filter(Q(at__lt=row.at) | Q(at=row.at, id__lt=row.pk), is_check=row.is_check)
    return not (earlier.filter(at__gte=since) if since else earlier).exists()


def _with_before(row: Reading, rules: Policy) -> dict[str, Any]:
    """Beside the reading it repeats, or the one before it of the same stir: apart by how much, the mean."""
    first = standing_first(row) or _before(row)
    if first is None or row.sg is None:
        return {"repeat": None}
    both = together(row, first, rules.repeatability)
    return {"repeat": both, "counted": row.repeats_id == first.pk, "mean_verdict": _judged(both, row.fill)}


def _judged(both: Together, fill: Fill) -> Any:
    mean = both.mean
    return verdict_of(sg=mean.sg, u_sg=mean.u_sg, target=fill.target_sg, half_window=fill.half_window)


def _before(row: Reading) -> Reading | None:
    """The standing reading before this one, of the same stir: nothing was done to the bucket in between."""
    if row.sg is None:
        return None
    before = (
        Reading.objects.filter(fill=row.fill_id, sg__isnull=False, replaced_by=None)
        .filter(Q(at__lt=row.at) | Q(at=row.at, id__lt=row.pk))
        .select_related("by")
        .order_by("-at", "-id")
        .first()
    )
    if before is None or row.at - before.at > SAME_STIR:
        return None
    between = row.fill.care.filter(STANDS, at__gt=before.at, at__lte=row.at, kind__in=Care.CHANGES)
    return None if between.exists() else before
