"""A side cup: made from a bucket, met by its label, gone. There is no way back into the bucket."""

from dataclasses import dataclass
from datetime import datetime, timedelta
from decimal import Decimal
from typing import Any

from django.db.models import IntegerField
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, render
from django.urls import reverse
from django.utils import timezone

from buckets.advice import newest_reading
from buckets.forms.cups import BottleForm, CupForm, CupGoneForm
from buckets.models import Cup, Fill
from buckets.operations import cups
from buckets.operations.reports import sender_of
from buckets.views.at import bucket_url, to_login, units_of
from buckets.views.looking import look_then_do
from safety.operations.labels import labels_in_force
from studio import words
from studio.calc.slurry import thin
from studio.fields import ActForm
from studio.middleware import client_address
from studio.pages import act_page, bound, person
from studio.people.doors import needs, open_to_all
from studio.prepared import Prepared
from studio.quantities import rounded
from studio.room import policy

OLD = timedelta(days=7)  # a cup older than this is looked at before it is used; common practice, no source
SHOWN = 12


@dataclass(frozen=True, kw_only=True)
class Bottle:
    """A squeeze bottle that thickens by standing open: mL that are wanted, to start with and to lose."""

    wanted_ml: Decimal
    to_sg: Decimal
    from_sg: Decimal
    start_ml: Decimal
    lose_ml: Decimal


@needs("use")
def make(request: HttpRequest, code: str) -> HttpResponse:
    """How much and how thick; what goes into the cup is said before. A squeeze bottle in a fold."""
    asked = BottleForm(request.GET if "bottle_0" in request.GET else None)
    return look_then_do(
        request,
        code,
        CupForm,
        cups_foreseen,
        cups.make_cup,
        _said,
        template="buckets/cup_make.html",
        then=lambda cup: reverse("cup", args=[cup.pk]),
        bottle_form=asked,
        bottle=_bottle(asked, code),
    )


def cups_foreseen(fill: Fill, at: datetime, *, volume_l: Decimal, to_sg: Decimal) -> cups.Mix:
    """What goes into a cup."""
    return cups.cup_mix(fill, volume_l, to_sg, at)


def _said(cup: Cup) -> str:
    return (
        f"{words.litres(cup.stock_l)} out of {cup.fill.vessel.code} are noted as used. "
        "Put its label on the cup now."
    )


def _bottle(form: BottleForm, code: str) -> Bottle | None:
    """Thickened by losing water: the formula of thinning, read from the end (slurry reference, c)."""
    if not form.is_bound or not form.is_valid() or form.cleaned_data["bottle"] is None:
        return None
    fill = Fill.objects.filter(vessel__code=code, emptied_at=None).first()
    reading = newest_reading(fill) if fill else None
    wanted_l, to_sg = form.cleaned_data["bottle"], form.cleaned_data["bottle_sg"]
    if reading is None or reading.sg is None or not 1 < reading.sg <= to_sg:
        form.add_error("bottle_sg", _why_not(reading, to_sg))
        return None
    start = thin(volume_l=float(wanted_l), sg=float(to_sg), to_sg=float(reading.sg))
    return Bottle(
        wanted_ml=1000 * wanted_l,
        to_sg=to_sg,
        from_sg=reading.sg,
        start_ml=rounded(1000 * start.volume_l, 1),
        lose_ml=rounded(1000 * start.water_l, 1),
    )


def _why_not(reading: Any, to_sg: Decimal) -> str:
    if reading is None or reading.sg is None:
        return "The bucket was never measured. Take a reading first."
    return f"The bucket is at {words.sg(reading.sg)}: standing open makes it thicker, not {words.sg(to_sg)}."


@open_to_all
def cup(request: HttpRequest, pk: int) -> HttpResponse:
    """What its label opens: what it is, how old, and that it never goes back."""
    if away := to_login(request, policy.in_force()):
        return away
    row = _cup(pk)
    label = labels_in_force(Cup._meta.label_lower, [row.pk]).get(row.pk)
    context = {
        "cup": row,
        "how": cups.how_of(row),
        "label": label,
        "undone": hasattr(row.use, "reversed_by"),
        "old": row.gone_at is None and timezone.now() - row.at > OLD,
        "old_days": OLD.days,
        "names": person(request) is not None,
        "gone_form": CupGoneForm(initial={"how": cups.USED_UP}),
        "report_form": ActForm(),
        "units": units_of(request),
    }
    return render(request, "buckets/cup.html", context)


def _cup(pk: int) -> Cup:
    rows = Cup.objects.select_related("fill__vessel", "use__reversed_by", "by")
    return get_object_or_404(rows, pk=pk)


@needs("use")
def gone(request: HttpRequest, pk: int) -> HttpResponse:
    """Used up, or thrown away."""
    row = _cup(pk)
    return act_page(
        request,
        bound(request, CupGoneForm, initial={"how": cups.USED_UP}),
        cups.cup_gone,
        template="buckets/cup_gone.html",
        about={"cup": row},
        then=lambda _: bucket_url(row.fill),
        said="Noted. Take its label off before the cup is washed.",
    )


@open_to_all
def reported(request: HttpRequest, pk: int) -> HttpResponse:
    """It went back into its bucket: anybody may say so, and the bucket is held."""
    if away := to_login(request, policy.in_force()):
        return away
    row = _cup(pk)
    return act_page(
        request,
        bound(request, ActForm),
        cups.report_cup,
        template="buckets/cup_report.html",
        about={"cup": row, "sender": sender_of(client_address(request))},
        then=lambda _: bucket_url(row.fill),
        said="Thank you for saying so. The bucket is held; a technician looks at it and answers.",
    )


OPEN_CUPS = Prepared(
    lambda fill: (
        Cup.objects.filter(fill=fill, gone_at=None, use__reversed_by=None)
        .select_related("by")
        .order_by("-at", "-id")[:SHOWN]
    ),
    fill=IntegerField(),
)
