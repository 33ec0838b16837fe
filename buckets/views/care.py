"""Acts at the bucket: stirred and used; and entries taken back."""

from datetime import timedelta
from typing import Any

from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404
from django.utils import timezone

from buckets.care_words import care_words
from buckets.forms import acting
from buckets.models import Care, Fill, Reading, Use
from buckets.operations import care, readings
from buckets.using import Quick, quick_choices
from buckets.views.at import acted_on, bucket_url, fill_page
from studio import words
from studio.pages import act_page, bound
from studio.people.doors import needs
from studio.room import policy


@needs("stir")
def stir(request: HttpRequest, code: str) -> HttpResponse:
    """I stirred it: one tap on the bucket's page."""
    return fill_page(
        request,
        code,
        acting.StirForm,
        care.stir,
        _said_of_stir,
        title="I stirred it",
        lead="Down to the floor, about two minutes.",
        button="I stirred it",
        icon="stir",
    )


def _said_of_stir(row: Care) -> str:
    minutes = row.fill.settles_min or policy.in_force().settles_min
    until = timezone.localtime(row.at + timedelta(minutes=float(minutes)))
    return f"Noted: stirred just now. The stir holds until {words.clock(until, timezone.localtime())}."


@needs("use")
def log_use(request: HttpRequest, code: str) -> HttpResponse:
    """I used some."""
    return fill_page(
        request,
        code,
        acting.UseForm,
        care.log_use,
        _said_of_use,
        template="buckets/use.html",
        title="I used some",
        quick=_quick(acted_on(request, code)),
        button="Keep this",
        icon="cup",
    )


def _quick(fill: Fill | None) -> list[Quick]:
    return quick_choices(fill, policy.in_force()) if fill and not fill.held else []


def _said_of_use(row: Use) -> str:
    pieces = f"{row.pieces} piece{'' if row.pieces == 1 else 's'}, " if row.pieces else ""
    return f"Noted: {pieces}{words.litres(row.volume_l)}. About {words.litres(row.fill.volume_l)} left."


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
    """A wrong entry of care, whatever it was."""
    row = _row_of(Care, code, pk)
    return _take_back(request, code, row, care.take_back_care, "care", care_words(row))


@needs("use")
def take_back_use(request: HttpRequest, code: str, pk: int) -> HttpResponse:
    """A wrong use."""
    row = _row_of(Use, code, pk)
    return _take_back(request, code, row, care.take_back_use, "use", f"used, {words.litres(row.volume_l)}")
