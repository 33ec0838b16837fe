"""Acts at the bucket: stirred, water in, sieved, used, emptied; and entries taken back."""

from typing import Any

from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404

from buckets.advice import newest_reading, to_target
from buckets.forms import acting
from buckets.models import Care, Reading, Use
from buckets.operations import care, fills, readings
from buckets.views.at import acted_on, bucket_url, fill_page
from studio import words
from studio.calc.slurry import sg_after_water
from studio.pages import act_page, bound
from studio.people.doors import needs


@needs("use")
def stir(request: HttpRequest, code: str) -> HttpResponse:
    """I stirred it: one tap on the bucket's page."""
    return fill_page(
        request,
        code,
        acting.StirForm,
        care.stir,
        "Noted: stirred just now.",
        title="I stirred it",
        lead="Down to the floor, about two minutes.",
        button="I stirred it",
        icon="stir",
    )


@needs("wet")
def water_in(request: HttpRequest, code: str) -> HttpResponse:
    """Water in, with what it makes of the litres and the SG."""
    return fill_page(
        request,
        code,
        acting.WaterForm,
        care.water_in,
        _said_of_water,
        template="buckets/water.html",
        advice=_advice(request, code),
    )


def _advice(request: HttpRequest, code: str) -> Any:
    fill = acted_on(request, code)
    return to_target(fill) if fill else None


def _said_of_water(row: Care) -> str:
    fill, water_l = row.fill, row.volume_l
    assert water_l is not None  # noqa: S101 - water always has its litres
    said = (
        f"{words.litres(water_l)} of water into {fill.vessel.code}: about {words.litres(fill.volume_l)} now"
    )
    reading, before_l = newest_reading(fill), fill.volume_l - water_l
    if reading and reading.sg and reading.at <= row.at and before_l > 0:
        sg = sg_after_water(volume_l=float(before_l), sg=float(reading.sg), water_l=float(water_l))
        said += f", by the last reading about SG {words.sg(sg)}"
    return f"{said}. Stir to the floor, then measure."


@needs("wet")
def sieve_fill(request: HttpRequest, code: str) -> HttpResponse:
    """The whole bucket went through a sieve."""
    return fill_page(
        request,
        code,
        acting.SieveForm,
        care.sieve_fill,
        "Noted: sieved.",
        title="Sieved",
        lead="The whole bucket went through a sieve.",
        button="Keep this",
        icon="sieve",
    )


@needs("use")
def log_use(request: HttpRequest, code: str) -> HttpResponse:
    """I used some."""
    return fill_page(
        request,
        code,
        acting.UseForm,
        care.log_use,
        lambda row: f"{words.litres(row.volume_l)} noted. About {words.litres(row.fill.volume_l)} left.",
        title="I used some",
        lead="An estimate is better than nothing: it tells when the bucket runs low.",
        button="Keep this",
        icon="cup",
    )


@needs("make")
def empty_fill(request: HttpRequest, code: str) -> HttpResponse:
    """The bucket was emptied."""
    return fill_page(
        request,
        code,
        acting.EmptyForm,
        fills.empty_fill,
        lambda fill: f"{fill.vessel.code} is empty. Its label is void: take it off.",
        title="Empty the bucket",
        lead="Its fill ends here and its label becomes void. What was done and measured stays on record.",
        button="It is empty",
        icon="bucket",
        warn=True,
    )


def _take_back(
    request: HttpRequest, code: str, row: Reading | Care | Use, do: Any, about: str, what: str
) -> HttpResponse:
    return act_page(
        request,
        bound(request, acting.TakeBackForm),
        do,
        template="buckets/act.html",
        about={about: row},
        context={
            "code": code,
            "title": f"Take back: {what}",
            "lead": "The entry stays in the story, crossed out, with your reason beside it.",
            "button": "Take it back",
            "icon": "back",
        },
        then=lambda _: bucket_url(code),
        said="Taken back. What the bucket shows was worked out again.",
    )


def _row_of(model: type[Any], code: str, pk: int) -> Any:
    return get_object_or_404(model.objects.select_related("fill__vessel"), pk=pk, fill__vessel__code=code)


@needs("use")
def take_back_reading(request: HttpRequest, code: str, pk: int) -> HttpResponse:
    """A wrong reading."""
    row = _row_of(Reading, code, pk)
    what = f"reading {words.sg(row.sg)}" if row.sg is not None else "level"
    return _take_back(request, code, row, readings.take_back_reading, "reading", what)


@needs("use")
def take_back_care(request: HttpRequest, code: str, pk: int) -> HttpResponse:
    """A wrong stir, water or sieve."""
    row = _row_of(Care, code, pk)
    amount = f", {words.litres(row.volume_l)}" if row.volume_l is not None else ""
    return _take_back(request, code, row, care.take_back_care, "care", f"{row.kind}{amount}")


@needs("use")
def take_back_use(request: HttpRequest, code: str, pk: int) -> HttpResponse:
    """A wrong use."""
    row = _row_of(Use, code, pk)
    return _take_back(request, code, row, care.take_back_use, "use", f"used, {words.litres(row.volume_l)}")
