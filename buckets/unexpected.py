"""A reading that was not as expected: what may be behind it, and what each answer would make of it."""

from dataclasses import dataclass

from django.shortcuts import get_object_or_404

from buckets.balance import COLUMNS, Gap, day, gap_of
from buckets.happened import Asked, asked_of, still_asked
from buckets.happenings import explained
from buckets.models import Explanation, Fill, Interval, Reading
from studio import words

Why = Explanation.Why


@dataclass(frozen=True)
class Answer:
    """One thing it may have been: in words, and what would then be so."""

    why: str
    button: str
    title: str
    then: str
    icon: str


def asked_about(reading: Reading) -> Asked | None:
    """A reading as a question, when it was not as expected and nobody has said why: one query."""
    if not reading.is_check or reading.sg is None:
        return None
    rows = explained(Interval.objects.filter(reading=reading, residual__isnull=False)).values_list(*COLUMNS)
    gap = next((gap_of(row) for row in rows), None)
    return asked_of(gap) if gap and still_asked(reading.fill, [gap]) else None


def gap_to(reading: Reading) -> Gap:
    """The interval that ends with a reading; 404 where there is none with something expected."""
    rows = explained(Interval.objects.filter(reading=reading, residual__isnull=False)).values_list(*COLUMNS)
    return gap_of(get_object_or_404(rows))


def answers_for(fill: Fill, gap: Gap, *, newest: bool) -> list[Answer]:
    """The five answers, each with what follows from it. Nothing follows before a person says which."""
    asked = asked_of(gap)
    before = f"{words.sg(gap.since_sg)} of {day(gap.since_at)}"
    again = f"{before} is the last that counts again" if newest else f"the next one is held against {before}"
    return [
        _forgot(asked),
        Answer(
            Why.UNSTIRRED,
            "Not stirred",
            "It was not stirred when it was measured",
            f"The reading is crossed out; {again}. Stir, and measure again.",
            "stir",
        ),
        Answer(
            Why.OTHER_BUCKET,
            "Another bucket",
            "It belongs to another bucket",
            f"It is crossed out here and written down there, as it was taken; {again}.",
            "bucket",
        ),
        Answer(
            Why.CONTAMINATED,
            "Something got in",
            "Something else got into it",
            f"{fill.vessel.code} is held at once, and whoever used it in the last 7 days is told. "
            "The reading stays.",
            "wrong",
        ),
        Answer(
            Why.OTHER,
            "For another reason",
            "Something else",
            "Your words stand beside the reading. Nothing else changes.",
            "page",
        ),
    ]


def _forgot(asked: Asked) -> Answer:
    water_l = asked.water_l
    about = "" if water_l is None else f" About {words.litres(round(abs(water_l), 2))} would do it."
    if asked.residual < 0:
        said = "It is written down at its own time, and what was expected is worked out again."
        return Answer(
            Why.FORGOT,
            "Water was forgotten",
            "Water went in and was not written down",
            f"{said}{about}",
            "drop",
        )
    said = "That water is written off at its own time, and what was expected is worked out again."
    more = " Powder or a top-up that was forgotten: write it down on its own page."
    return Answer(Why.FORGOT, "It dried", "It stood open and water dried off", f"{said}{about}{more}", "drop")
