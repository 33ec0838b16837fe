"""What a check of the books reports, and the few queries every check is made of."""

from dataclasses import dataclass
from typing import Any

from django.db import models
from django.db.models import ExpressionWrapper, F, OuterRef, Subquery, Sum, Value
from django.db.models.expressions import Combinable
from django.db.models.functions import Coalesce

from studio.quantities import QuantityField


@dataclass(frozen=True)
class Problem:
    """One row that does not agree with the rest: where it stands, and what is wrong with it."""

    where: str
    sentence: str

    def __str__(self) -> str:
        return f"{self.where}: {self.sentence}"


def total_of(rows: models.QuerySet[Any], by: str, amount: str) -> Coalesce:
    """The sum of ``amount`` over the ``rows`` whose foreign key ``by`` is the outer row; 0 without any."""
    field = rows.model._meta.get_field(amount)
    assert isinstance(field, QuantityField)  # noqa: S101 - a fault of the check, not of the books
    kept = QuantityField(places=field.places)
    sums = rows.order_by().filter(**{by: OuterRef("pk")}).values(by).annotate(_sum=Sum(amount)).values("_sum")
    return Coalesce(Subquery(sums, output_field=kept), Value(0, output_field=kept))


def exact(expression: Combinable, places: int = 3) -> ExpressionWrapper:
    """Arithmetic on exact amounts of the same places, done by the database on their whole units."""
    return ExpressionWrapper(expression, output_field=QuantityField(places=places))


def ill_reversed(
    rows: models.QuerySet[Any], *same: str, opposite: tuple[str, ...] = ()
) -> models.QuerySet[Any]:
    """Reversals that do not undo their row: another thing, another amount, or a reversal reversed.

    ``same`` fields must be equal in both, ``opposite`` ones must cancel out.
    """
    wrong = models.Q(reverses__reverses__isnull=False)
    for name in same:
        wrong |= ~models.Q(**{name: F(f"reverses__{name}")})
    back = rows.filter(reverses__isnull=False)
    for name in opposite:
        places = back.model._meta.get_field(name).places
        back = back.annotate(**{f"{name}_left": exact(F(name) + F(f"reverses__{name}"), places)})
        wrong |= ~models.Q(**{f"{name}_left": 0})
    return back.filter(wrong)
