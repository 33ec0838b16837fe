"""What else bears a label: tubs, weighed pots, test tiles, waste, and the lots themselves."""

from datetime import date, datetime
from decimal import Decimal
from typing import Any
from uuid import UUID

from django.utils import timezone

from safety.mixes import Mix, canonical, from_plain, mix_of_material, mix_of_unknown, mix_of_version
from safety.models import Container, Label
from safety.operations.classifying import kept
from safety.operations.labels import print_label, void_labels
from studio.errors import Refused
from studio.materials.models import Lot
from studio.people import rights
from studio.people.acts import act
from studio.people.doors import refuse_unless
from studio.people.models import Member
from studio.recipes.models import Version

MOST_L = Decimal(1000)
USED_UP, THROWN_AWAY, HANDED_OVER = "used up", "thrown into the glaze waste", "handed over to who takes it"
GONE = (USED_UP, THROWN_AWAY, HANDED_OVER)
NOBODY_KNOWS = "what is in it is not known"


@act("container labelled")
def add_container(
    *,
    kind: str,
    what: str,
    capacity_l: Decimal,
    lot: Lot | None = None,
    version: Version | None = None,
    about: str = "",
    made_on: date | None = None,
    by: Member,
    key: UUID | None = None,
    at: datetime | None = None,
    raw: str = "",
) -> Container:
    """A tub, pot, lot of tiles or waste container that gets a label of its own, printed with it.

    ``capacity_l`` is what it holds when full, litres: the label's size follows. What is in it is a ``lot``,
    a recipe ``version``, or nobody knows; then the label says to treat it as hazardous.
    """
    refuse_unless(by, rights.BINDER)
    if kind not in Container.Kind.values:
        raise Refused("Choose what it is.", field="kind")
    if lot is not None and version is not None:
        raise Refused("Name the lot or the recipe, not both.", field="version")
    container = Container.objects.create(
        kind=kind,
        capacity_ml=_millilitres(capacity_l),
        lot=lot,
        what=_said(what, lot, version),
        mix=canonical(_mix(lot, version, what)),
        about=about.strip(),
        made_on=made_on or timezone.localdate(at),
    )
    _print(container, by, at)
    return container


@act("container label printed", about="container")
def print_container_label(
    *, container: Container, by: Member, key: UUID | None = None, at: datetime | None = None
) -> Label:
    """A new label for what is in it, classified as it is known now; the one before becomes void."""
    container = Container.objects.select_for_update().get(pk=container.pk)
    refuse_unless(by, rights.BINDER)
    _refuse_gone(container)
    return _print(container, by, at)


@act("container gone", about="container")
def container_gone(
    *,
    container: Container,
    how: str = USED_UP,
    by: Member,
    key: UUID | None = None,
    at: datetime | None = None,
    raw: str = "",
) -> Container:
    """It is empty, thrown away or handed over, and its label with it."""
    container = Container.objects.select_for_update().get(pk=container.pk)
    refuse_unless(by, rights.BINDER)
    _refuse_gone(container)
    if how not in GONE:
        raise Refused("Used up, thrown into the glaze waste, or handed over?", field="how")
    container.gone_at = at or timezone.now()
    container.save(update_fields=["gone_at"])
    void_labels(container, f"it was {how}", at)
    return container


@act("lot label printed", about="lot")
def print_lot_label(
    *,
    lot: Lot,
    capacity_l: Decimal,
    by: Member,
    key: UUID | None = None,
    at: datetime | None = None,
    raw: str = "",
) -> Label:
    """A label for the bag or bin a lot is in; ``capacity_l`` is what that holds when full, litres."""
    refuse_unless(by, rights.BINDER)
    if lot.state in (Lot.State.USED_UP, Lot.State.REJECTED):
        raise Refused(f"Lot {lot.code} is {lot.state}: it needs no label any more.")
    mix, name = mix_of_material(lot.material), lot.material.name
    return print_label(
        purpose=Label.Purpose.LOT,
        on=lot,
        content={
            "title": name,
            "lot": lot.code,
            "lead": f"lot {lot.code}",
            "state": "quarantine: do not weigh from it" if lot.state == Lot.State.QUARANTINE else "",
            "about": [f"received {lot.received_on:%Y-%m-%d}", *([lot.supplier] if lot.supplier else [])],
            "capacity_l": _text(capacity_l),
            "contents": [_entry(lot)],
        },
        classification=kept(mix=mix, what=name, why="a label was printed", by=by, at=at),
        by=by,
        at=at,
    )


# --- inside


def _print(container: Container, by: Member, at: datetime | None) -> Label:
    mix = from_plain(container.mix)
    return print_label(
        purpose=container.kind,
        on=container,
        content=_content(container),
        classification=kept(mix=mix, what=container.what, why="a label was printed", by=by, at=at),
        by=by,
        at=at,
    )


def _content(container: Container) -> dict[str, Any]:
    lot = container.lot
    return {
        "title": container.what,
        "lead": container.get_kind_display() + (f" · lot {lot.code}" if lot else ""),
        "about": [container.about] if container.about else [],
        "date": container.made_on.isoformat(),
        "capacity_l": _text(container.capacity_l),
        "contents": [_entry(lot)] if lot else [],
    }


def _entry(lot: Lot) -> dict[str, str]:
    return {"material": lot.material.name, "words": lot.material.hazard_words}


def _mix(lot: Lot | None, version: Version | None, what: str) -> Mix:
    if lot is not None:
        return mix_of_material(lot.material)
    return (
        mix_of_version(version) if version is not None else mix_of_unknown(f"{what.strip()}: {NOBODY_KNOWS}")
    )


def _said(what: str, lot: Lot | None, version: Version | None) -> str:
    """What a person calls it; of a lot or a recipe its name unless something else is said."""
    said = " ".join(what.split())
    if not said and lot is not None:
        said = lot.material.name
    if not said and version is not None:
        said = version.recipe.name
    if not said:
        raise Refused("Say what is in it, or name the lot or the recipe.", field="what")
    return said[:120]


def _millilitres(capacity_l: Decimal) -> int:
    if not 0 < capacity_l <= MOST_L:
        raise Refused(f"It holds more than nothing and at most {MOST_L} L.", field="capacity_l")
    return max(1, int(capacity_l * 1000))


def _text(capacity_l: Decimal) -> str:
    return format(capacity_l.normalize(), "f")


def _refuse_gone(container: Container) -> None:
    if container.gone_at is not None:
        raise Refused(f"{container.what} is gone already.")
