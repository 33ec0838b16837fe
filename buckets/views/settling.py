"""How fast this glaze settles: what was seen, what that makes today, and one more look."""

from dataclasses import dataclass
from typing import Any

from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404
from django.urls import reverse

from buckets.forms.acting import TakeBackForm
from buckets.forms.settling import SettlingForm
from buckets.models import Fill, Settling
from buckets.operations.settling import observe_settling as observe
from buckets.operations.settling import take_back_settling as undo
from buckets.views.at import acted_on, fill_page
from studio import words
from studio.calc import settling
from studio.pages import act_page, bound
from studio.people.doors import needs
from studio.room import policy

ROOM_C = 20.0  # where no temperature was noted
RHO_ASSUMED = 2.6  # g/mL, where a fill's powder is not known: the reference's own example
MOST = 20


@dataclass(frozen=True, kw_only=True)
class Today:
    """What was seen, carried to the SG and temperature of the last reading; None: too far away for that."""

    minutes: float | None
    sg: Any
    temperature_c: float
    rho_s: float
    rho_assumed: bool


def today(fill: Fill, seen: Settling | None) -> Today | None:
    """Settling by the last reading; None without a look or without a reading."""
    reading = fill.check_reading
    if seen is None or reading is None or reading.sg is None:
        return None
    rho_s = float(fill.particle_density or RHO_ASSUMED)
    at_c = ROOM_C if reading.temperature_c is None else float(reading.temperature_c)
    try:
        minutes = settling.minutes_at(
            minutes=float(seen.settles_min),
            sg_obs=float(seen.sg),
            temperature_obs_c=ROOM_C if seen.temperature_c is None else float(seen.temperature_c),
            sg=float(reading.sg),
            temperature_c=at_c,
            rho_s=rho_s,
        )
    except ValueError:  # more than 0.1 apart, or outside what the water tables hold
        minutes = None
    return Today(
        minutes=minutes,
        sg=reading.sg,
        temperature_c=at_c,
        rho_s=rho_s,
        rho_assumed=fill.particle_density is None,
    )


@needs("wet")
def observe_settling(request: HttpRequest, code: str) -> HttpResponse:
    """What was seen so far, and one more look."""
    return fill_page(
        request,
        code,
        SettlingForm,
        observe,
        lambda row: (
            f"Kept. From now on a stir of it holds about {words.number(row.settles_min, 1, least=0)} min."
        ),
        template="buckets/settling.html",
        title="How fast it settles",
        button="Keep this",
        icon="clock",
        **_seen(acted_on(request, code)),
    )


def _seen(fill: Fill | None) -> dict[str, Any]:
    rows = []
    if fill is not None:
        rows = list(fill.settlings.filter(reverses=None).select_related("by", "reversed_by")[:MOST])
    standing = next((row for row in rows if not hasattr(row, "reversed_by")), None)
    return {
        "looks": [(row, hasattr(row, "reversed_by")) for row in rows],
        "standing": standing,
        "today": today(fill, standing) if fill else None,
        "rules": policy.in_force(),
    }


@needs("wet")
def take_back_settling(request: HttpRequest, code: str, pk: int) -> HttpResponse:
    """A look that was wrong."""
    rows = Settling.objects.select_related("fill__vessel")
    row = get_object_or_404(rows, pk=pk, fill__vessel__code=code)
    return act_page(
        request,
        bound(request, TakeBackForm),
        undo,
        template="buckets/act.html",
        about={"settling": row},
        context={
            "code": code,
            "title": f"Take back: settles in {words.number(row.settles_min, 1, least=0)} min",
            "lead": "The look stays on record with your reason; the one before it counts again.",
            "button": "Take it back",
            "icon": "back",
        },
        then=lambda _: reverse("observe-settling", args=[code]),
        said="Taken back. How long a stir holds was worked out again.",
    )
