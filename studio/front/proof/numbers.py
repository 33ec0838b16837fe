"""Series: no number was given out beyond what its counter says, so the next one is new."""

from collections.abc import Iterator

from django.db.models import IntegerField, Max, Min
from django.db.models.functions import Cast, Substr

from batches.models import Batch, Request
from batches.operations.requests import FIRST_NUMBER
from buckets.models import Fill
from safety.models import Classification, Incident, Label, LeachTest
from studio.front.proof.problem import Problem
from studio.people.models import Counter


def problems() -> Iterator[Problem]:
    last = dict(Counter.objects.values_list("name", "last"))
    serials = Label.objects.filter(serial__regex=r"^Q[0-9]+$")
    given = {
        "fill": Fill.objects.aggregate(n=Max("number"))["n"],
        "request": _less(Request.objects.aggregate(n=Max("number"))["n"], FIRST_NUMBER - 1),
        "label": serials.aggregate(n=Max(Cast(Substr("serial", 2), IntegerField())))["n"],
        "leach test": LeachTest.objects.aggregate(n=Max("number"))["n"],
        "classification": Classification.objects.aggregate(n=Max("number"))["n"],
        **{
            kind: Incident.objects.filter(kind=kind).aggregate(n=Max("number"))["n"]
            for kind in Incident.Kind.values
        },
        **_of_batches(),
    }
    for series, number in given.items():
        if number is not None and number > last.get(series, 0):
            said = f"stands at {last.get(series, 0)}, but {number} was given out."
            yield Problem(f"counter {series}", said)


def _less(number: int | None, by: int) -> int | None:
    return None if number is None else number - by


def _of_batches() -> dict[str, int]:
    """The highest number of each year's batches; the century is that of the first one made."""
    rows = (
        Batch.objects.order_by()
        .annotate(year=Substr("number", 1, 2), within=Cast(Substr("number", 4), IntegerField()))
        .values("year")
        .annotate(n=Max("within"), first=Min("made_at"))
    )
    return {f"batch {row['first'].year // 100 * 100 + int(row['year'])}": row["n"] for row in rows}
