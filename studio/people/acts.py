"""How an act is done: one transaction, a repeat check by key, a line in the journal."""

import dataclasses
import hashlib
import json
from collections.abc import Callable
from datetime import date, datetime, time
from decimal import Decimal
from functools import wraps
from math import isfinite
from typing import Any, ParamSpec, TypeVar
from uuid import UUID, uuid4

from django.apps import apps
from django.db import IntegrityError, models, transaction
from django.utils import timezone
from django.utils.functional import Promise

from studio.errors import KeyUsedOtherwise, Refused
from studio.people.models import Counter, Entry

P = ParamSpec("P")
R = TypeVar("R", bound=models.Model)


def act(
    name: str, *, about: str | None = None, secret: tuple[str, ...] = (), private: tuple[str, ...] = ()
) -> Callable[[Callable[P, R]], Callable[P, R]]:
    """Make a function an act of the room.

    The function takes keywords only, among them ``by`` (Member or None) and ``key`` (UUID or None),
    returns the row it wrote, and raises Refused when the rule says no. Its arguments, but for the
    ``secret`` and ``private`` ones, go into the journal. ``about`` names the argument the act is about;
    without it the act is about its result. The same key with the same arguments returns the first row;
    with others it is refused, and ``private`` ones count there though no journal shows them. An act
    called by another act gets no key: the outer one carries it.
    """

    def decorate(function: Callable[P, R]) -> Callable[P, R]:
        @wraps(function)
        def wrapped(*args: P.args, **kwargs: P.kwargs) -> R:
            if args:
                raise TypeError(f"{function.__name__} takes keywords only")
            key = kwargs.get("key")
            said = {k: plain(v) for k, v in kwargs.items() if k not in ("key", "by") and k not in secret}
            # Acts that share a name, so that the journal cannot tell them apart, still differ here.
            digest = _digest(function.__name__ if private else name, kwargs.get("by"), said)
            content = {k: v for k, v in said.items() if k not in private}
            try:
                with transaction.atomic():
                    if (first := _first(key, digest)) is not None:
                        return first
                    row = function(*args, **kwargs)
                    _write(name, key, digest, content, kwargs, kwargs.get(about or ""), row)
                    return row
            except (Refused, IntegrityError):
                # Two senders of one key race: the loser finds the winner's row, not a refusal.
                if (first := _first(key, digest)) is not None:
                    return first
                raise

        wrapped.act_name = name  # type: ignore[attr-defined]
        return wrapped

    return decorate


def name_of(do: Callable[..., Any]) -> str:
    """The name under which an act stands in the journal."""
    return do.act_name  # type: ignore[attr-defined]


def repeated(row: models.Model) -> bool:
    """Whether an act wrote nothing and answered with its first row, because its key had come before."""
    return getattr(row, "of_first_sending", False)


def sent_before(name: str, key: UUID, *, by: Any, said: dict[str, Any]) -> Any:
    """The first row of an act sent with this key by the same person in the same words, or None.

    ``said`` holds what the act was told: the rows it is about, and ``raw``, what was typed. A form
    judges by how things stand; what was right when it was sent first is not judged again on a repeat.
    """
    entry = Entry.objects.filter(key=key, act=name, by=by).first()
    if entry is None or "raw" not in entry.content:
        return None
    same = all(entry.content.get(word) == value for word, value in plain(said).items())
    return _result(entry) if same else None


def _first(key: Any, digest: str) -> Any:
    if key is None:
        return None
    entry = Entry.objects.filter(key=key).first()
    if entry is None:
        return None
    if entry.digest != digest:
        raise KeyUsedOtherwise()
    return _result(entry)


def _result(entry: Entry) -> Any:
    row = apps.get_model(entry.result_kind)._base_manager.get(pk=entry.result_id)
    row.of_first_sending = True
    return row


def _write(
    name: str, key: Any, digest: str, content: Any, said: dict[str, Any], about: Any, row: models.Model
) -> None:
    subject = about if isinstance(about, models.Model) else row
    # Told later, the act still stands at its own time; ``entered_at`` keeps when it was written down.
    Entry.objects.create(
        key=key or uuid4(),
        act=name,
        content=content,
        digest=digest,
        by=said.get("by"),
        at=said.get("at") or timezone.now(),
        about_kind=subject._meta.label_lower,
        about_id=subject.pk,
        result_kind=row._meta.label_lower,
        result_id=row.pk,
    )


def _digest(name: str, by: Any, content: dict[str, Any]) -> str:
    said = json.dumps([name, by.pk if by else None, content], sort_keys=True)
    return hashlib.sha256(said.encode()).hexdigest()


def plain(value: Any) -> Any:
    """A value as the journal keeps it: JSON, rows as "app.model:number", numbers as text.

    Raises TypeError for what has no plain form that is the same in every process.
    """
    if isinstance(value, models.Model):
        return f"{value._meta.label_lower}:{value.pk}"
    if isinstance(value, Decimal):
        return format(value.normalize(), "f") if value else "0"
    if isinstance(value, datetime | date | time):
        return value.isoformat()
    if isinstance(value, UUID | Promise):
        return str(value)
    if dataclasses.is_dataclass(value) and not isinstance(value, type):
        return {f.name: plain(getattr(value, f.name)) for f in dataclasses.fields(value)}
    if isinstance(value, dict):
        return {str(k): plain(v) for k, v in value.items()}
    if isinstance(value, set | frozenset):
        # Each process orders a set in its own way; a repeat may reach another one.
        return sorted(map(plain, value), key=str)
    if isinstance(value, list | tuple | models.QuerySet):
        return [plain(v) for v in value]
    if value is None or isinstance(value, str | int) or (isinstance(value, float) and isfinite(value)):
        return value
    raise TypeError(f"{value!r} cannot stand in the journal")


def take_number(series: str) -> int:
    """The next number of a series; the row lock keeps two writers from getting the same one."""
    counter, _ = Counter.objects.select_for_update().get_or_create(name=series)
    counter.last += 1
    counter.save(update_fields=["last"])
    return counter.last


def story(row: models.Model) -> models.QuerySet[Entry]:
    """The journal of one row, newest first."""
    return Entry.objects.filter(about_kind=row._meta.label_lower, about_id=row.pk).select_related("by")
