"""What every instrument of the room has in common: a name of its own, retired, back in use."""

from datetime import datetime
from typing import TypeVar

from django.db import IntegrityError, transaction
from django.utils import timezone

from studio.errors import Refused
from studio.room.models import FlowCup, Glass, Hydrometer, Scale

Instrument = TypeVar("Instrument", Scale, Glass, Hydrometer, FlowCup)


def retired(instrument: Instrument, at: datetime | None) -> Instrument:
    """No longer offered; refused when it is retired already. The row must be locked."""
    if instrument.retired_at is not None:
        raise Refused(f"{instrument.name} is retired already.")
    instrument.retired_at = at or timezone.now()
    instrument.save(update_fields=["retired_at"])
    return instrument


def brought_back(instrument: Instrument) -> Instrument:
    """Offered again; refused when it is in use. The row must be locked."""
    if instrument.retired_at is None:
        raise Refused(f"{instrument.name} is in use already.")
    instrument.retired_at = None
    instrument.save(update_fields=["retired_at"])
    return instrument


def saved(instrument: Instrument) -> Instrument:
    """The row, kept; refused when another took its name at the same moment."""
    try:
        with transaction.atomic():
            instrument.save()
    except IntegrityError as error:
        raise _taken(instrument.name) from error
    return instrument


def free_name(model: type[Instrument], name: str, *, but: int = 0) -> str:
    """The name without needless spaces; refused when it is empty or another row has it."""
    name = " ".join(name.split())
    if not name:
        raise Refused("It needs a name, so that people know which one is meant.", field="name")
    if model._default_manager.filter(name__iexact=name).exclude(pk=but).exists():
        raise _taken(name)
    return name


def _taken(name: str) -> Refused:
    return Refused(f"There is one called {name} already. Give this one another name.", field="name")
