"""What whatever is offered by its name has in common: a name of its own, retired, back in use."""

from datetime import datetime
from typing import Any, TypeVar

from django.db import IntegrityError, models, transaction
from django.utils import timezone

from studio.errors import Refused

Row = TypeVar("Row", bound=models.Model)  # with a ``name`` and ``retired_at``


def retired(row: Row, at: datetime | None) -> Row:
    """No longer offered; refused when it is retired already. The row must be locked."""
    kept: Any = row
    if kept.retired_at is not None:
        raise Refused(f"{kept.name} is retired already.")
    kept.retired_at = at or timezone.now()
    kept.save(update_fields=["retired_at"])
    return row


def brought_back(row: Row) -> Row:
    """Offered again; refused when it is in use. The row must be locked."""
    kept: Any = row
    if kept.retired_at is None:
        raise Refused(f"{kept.name} is in use already.")
    kept.retired_at = None
    kept.save(update_fields=["retired_at"])
    return row


def saved(row: Row) -> Row:
    """The row, kept; refused when another took its name at the same moment."""
    try:
        with transaction.atomic():
            row.save()
    except IntegrityError as error:
        kept: Any = row
        raise _taken(kept.name) from error
    return row


def free_name(model: type[models.Model], name: str, *, but: int = 0) -> str:
    """The name without needless spaces; refused when it is empty or another row has it."""
    name = " ".join(name.split())
    if not name:
        raise Refused("It needs a name, so that people know which one is meant.", field="name")
    if model._default_manager.filter(name__iexact=name).exclude(pk=but).exists():
        raise _taken(name)
    return name


def _taken(name: str) -> Refused:
    return Refused(f"There is one called {name} already. Give this one another name.", field="name")
