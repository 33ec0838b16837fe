"""What is asked for now: one request waits, one is approved and has its material promised."""

from collections.abc import Iterator
from datetime import datetime
from decimal import Decimal
from functools import partial

from django.utils import timezone

from batches.models import Request
from batches.operations.requests import approve_request, ask_for_glaze
from studio.front.demo.cast import Cast, Event, next_is

BATCH = 138


def events(cast: Cast) -> Iterator[Event]:
    first = cast.at("2026-04-01", "20:10")
    yield (
        first,
        partial(_ask, cast, "Ilse", "Rockpool", "4", "for the spring sale; Marek asks for it too", first),
    )
    second = cast.at("2026-04-02", "13:40")
    yield second, partial(_ask, cast, "Ngozi", "Willow Veil", "6", "for the next load of Heron", second)
    later = cast.at("2026-04-03", "17:15")
    yield later, partial(_approve, cast, later)


def _ask(cast: Cast, by: str, glaze: str, litres: str, why: str, at: datetime) -> None:
    ask_for_glaze(
        version=cast.recipe(glaze).current,
        wish=Request.Wish.LITRES,
        litres=Decimal(litres),
        why=why,
        wanted_on=cast.day("2026-04-20") if glaze == "Rockpool" else None,
        by=cast.person(by),
        at=at,
    )


def _approve(cast: Cast, at: datetime) -> None:
    wanted = Request.objects.get(version__recipe__name="Willow Veil", state=Request.State.ASKED)
    next_is(f"batch {timezone.localtime(at).year}", BATCH)
    approve_request(request=wanted, by=cast.person("Tamsin"), at=at)
