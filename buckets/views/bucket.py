"""The bucket as met at its side: the answer first, then what may be done and what is known."""

from datetime import datetime
from decimal import Decimal
from functools import lru_cache
from typing import Any

from django.db.models import IntegerField
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, render
from django.template.loader import render_to_string
from django.utils import timezone

from buckets.advice import newest_reading
from buckets.answers import answer_of, window
from buckets.calc.dip import DipCheck
from buckets.forms.acting import StirForm
from buckets.how_got import how_got
from buckets.labels import cautions_of, food_of, hazards_of
from buckets.models import Fill, Parent, Reading
from buckets.queries import change_of, dip_check_of, fill_in, shown_reading
from buckets.repeats import Counts, standing_first, together
from buckets.story import Event, story_of
from buckets.views.at import to_login, units_of
from buckets.views.parts.dipping import dipping
from buckets.views.parts.happened import happened_to
from buckets.views.parts.lineage import label_and_cups
from buckets.views.parts.measured import measured
from buckets.views.parts.needs import needs
from buckets.views.parts.next_act import next_act
from buckets.views.shelf import depth_in
from studio import words
from studio.pages import person
from studio.people import rights
from studio.people.doors import open_to_all
from studio.people.models.members import Role
from studio.prepared import Prepared
from studio.quantities import rounded
from studio.room import policy
from studio.room.measuring import verdict_of
from studio.room.models import Vessel
from studio.room.policy import Policy


@open_to_all
def bucket(request: HttpRequest, code: str) -> HttpResponse:
    """One bucket. Read-only and without names for a stranger, if the studio opens its buckets."""
    rules = policy.in_force()
    if away := to_login(request, rules):
        return away
    fill = fill_in(code)
    if fill is None:
        return _empty(request, get_object_or_404(Vessel, code=code))
    return render(request, "buckets/bucket.html", _context(request, fill, rules))


def _empty(request: HttpRequest, vessel: Vessel) -> HttpResponse:
    last = vessel.fills.select_related("write_off").order_by("-emptied_at").first()
    return render(
        request, "buckets/bucket_empty.html", {"vessel": vessel, "last": last, **_may(person(request))}
    )


def _context(request: HttpRequest, fill: Fill, rules: Policy) -> dict[str, Any]:
    now, reader = timezone.now(), person(request)
    names = reader is not None
    check = dip_check_of(fill, now, rules)
    story = story_of(fill, reader, names=names)
    reading = reading_facts(newest_reading(fill), fill, rules.repeatability)
    found = needs(fill, reading, change_of(fill), rules)
    return {
        "fill": fill,
        "vessel": fill.vessel,
        "check": answer_of(fill, check, now, rules, names=names),
        "dip": check,
        "next_act": next_act(fill, check, reader),
        "new_here": _new_here(reader),
        "depth_cm": depth_in(fill.vessel, fill.volume_l),
        "stir_form": StirForm(fill=fill),
        "reading": reading,
        "changed": change_of(fill),
        "needs": found,
        "advice": found["advice"],
        "window": window(fill),
        "counts_until": _counts_until(fill, check),
        "cautions": cautions_of(fill),
        "hazards": hazards_of(fill),
        "food": food_of(fill, timezone.localdate(now)),
        "parents": PARENTS.rows(fill=fill.pk),
        "story": story.events,
        "story_lines": story_lines(story.events, timezone.localtime(now)),
        "reports": [report for report in story.reports if report.answered_at is None],
        "happened": happened_to(
            fill, story, now, changed=change_of(fill).at is not None, units=units_of(request)
        ),
        **label_and_cups(fill, now, rules),
        "dipping": dipping(fill, check, change_of(fill).at is not None, now, rules),
        "measured": measured(fill, reading, rules, changed=change_of(fill).at is not None),
        "names": names,
        "units": units_of(request),
        "rules": rules,
        **_may(reader),
    }


def _counts_until(fill: Fill, check: DipCheck) -> datetime | None:
    """Until when the reading shown counts; None when it is not the one that counts."""
    counts = check.answer in ("dip", "stir first") and shown_reading(fill, check) == newest_reading(fill)
    return check.readings_until if counts else None


def story_lines(events: list[Event], here: datetime) -> list[str]:
    """Lines of a story as they are shown, newest first."""
    return [_story_line(event, words.ago(event.at.astimezone(here.tzinfo), here)) for event in events]


@lru_cache(maxsize=2000)
def _story_line(event: Event, ago: str) -> str:
    """One line of a story: the same event as long ago is the same line."""
    return render_to_string("buckets/_story_line.html", {"event": event, "ago": ago})


def _new_here(reader: Any) -> bool:
    """Whether to show how to dip: to a member or helper who has not said yet that they read it."""
    learns = reader is not None and reader.role in (Role.MEMBER, Role.HELPER)
    return learns and reader.dip_card_at is None


def _may(reader: Any) -> dict[str, bool]:
    return {
        "may_use": reader is not None and reader.may(rights.USE),
        "may_wet": reader is not None and reader.may(rights.WET),
        "may_make": reader is not None and reader.may(rights.MAKE),
    }


def reading_facts(
    reading: Reading | None, fill: Fill, within: Decimal | None = None
) -> dict[str, Any] | None:
    """A reading with its doubt and verdict, as pages show it; U unknown counts as 0.01.

    ``within``: two readings of one stir agree within this; then ``sg``, doubt and verdict are those of the
    mean, and ``first`` is the one repeated.
    """
    if reading is None or reading.sg is None:
        return None
    first, counts = None, Counts(reading.sg, reading.u_sg)
    repeated = standing_first(reading) if within is not None else None
    if repeated is not None and within is not None:
        both = together(reading, repeated, within)
        first, counts = repeated if both.agree else None, both.mean
    verdict = verdict_of(sg=counts.sg, u_sg=counts.u_sg, target=fill.target_sg, half_window=fill.half_window)
    doubt = 2 * counts.u_sg if counts.u_sg is not None else rounded(0.01, 4)
    return {
        "row": reading,
        "sg": counts.sg,
        "first": first,
        "doubt": doubt,
        "known": counts.u_sg is not None,
        "verdict": verdict,
        "side": _side(verdict),
        "difference": words.signed(round(verdict.difference, 4)) if verdict else "",
        "how": how_got(reading),
    }


def _side(verdict: Any) -> str:
    if verdict is None or verdict.word != "outside":
        return ""
    return "too thick" if verdict.difference > 0 else "too thin"


PARENTS = Prepared(
    lambda fill: (
        Parent.objects.filter(fill=fill)
        .select_related("batch", "parent_fill__vessel", "version")
        .order_by("id")
    ),
    fill=IntegerField(),
)
