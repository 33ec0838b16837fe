"""The people of the studio who sign in here, what they are signed off for, and the room's own account."""

from collections.abc import Iterator
from functools import partial

from django.conf import settings

from studio import first_code
from studio.front.demo.cast import Cast, Event
from studio.people.operations.joining import add_room_account, found_studio, invite, join
from studio.people.operations.pins import set_pin
from studio.people.operations.sign_offs import give_sign_off

# name: role, joined, {sign-off: (given, until)}
PEOPLE: dict[str, tuple[str, str, dict[str, tuple[str, str]]]] = {
    "Odile": ("manager", "2023-10-02", {}),
    "Bram": (
        "technician",
        "2023-10-03",
        dict.fromkeys(("weighing", "hazardous", "SG"), ("2025-12-15", "2026-12-31")),
    ),
    "Tamsin": (
        "technician",
        "2024-02-05",
        dict.fromkeys(("weighing", "hazardous", "SG"), ("2025-09-22", "2026-09-30")),
    ),
    "Yusuf": (
        "helper",
        "2024-09-09",
        dict.fromkeys(("weighing", "wet mixing", "SG"), ("2025-06-23", "2026-06-30")),
    ),
    "Petra": (
        "helper",
        "2025-01-13",
        {"SG": ("2025-03-24", "2026-03-31"), "wet mixing": ("2025-11-10", "2026-10-31")},
    ),
    "Ngozi": (
        "member",
        "2024-04-15",
        dict.fromkeys(("dipping", "SG", "kiln"), ("2025-11-24", "2026-11-30")),
    ),
    "Ilse": (
        "member",
        "2024-10-07",
        {"dipping": ("2025-08-25", "2026-08-31"), "SG": ("2025-08-25", "2026-08-31")},
    ),
    "Marek": ("member", "2025-02-17", {"dipping": ("2025-03-10", "2030-03-10")}),
    "Saoirse": ("member", "2026-02-23", {}),
}

ROOM, ROOM_SINCE = "Glaze room", "2026-03-09"  # the shared tablet, "room" when it signs in
PINS = {"Bram": "4863", "Tamsin": "7536", "Ngozi": "8357", "Ilse": "6942"}  # invented; printed by `serve`


def events(cast: Cast) -> Iterator[Event]:
    for name, (role, joined, sign_offs) in PEOPLE.items():
        yield cast.at(joined, "09:30"), partial(_join, cast, name, role, joined)
        for kind, (given, until) in sign_offs.items():
            yield cast.at(given, "18:00"), partial(_sign_off, cast, name, kind, given, until)
    yield cast.at(ROOM_SINCE, "18:00"), partial(_room, cast)
    for name in PINS:
        yield cast.now, partial(_pin, cast, name)


def _room(cast: Cast) -> None:
    add_room_account(
        name=ROOM,
        username="room",
        password=settings.DEMO_PASSWORD,
        by=cast.person("Odile"),
        at=cast.at(ROOM_SINCE, "18:00"),
    )


def _pin(cast: Cast, name: str) -> None:
    """A PIN has no day of its own: it counts from when it is set."""
    set_pin(current=settings.DEMO_PASSWORD, pin=PINS[name], by=cast.person(name))


def _join(cast: Cast, name: str, role: str, joined: str) -> None:
    who = {"name": name, "username": name, "password": settings.DEMO_PASSWORD, "at": cast.at(joined, "09:30")}
    if role == "manager":
        found_studio(code=first_code.code(), **who)
        return
    odile = cast.person("Odile")
    link = invite(name=name, role=role, days=7, by=odile, at=cast.at(joined, "09:00"))
    join(code=link.code, **who)  # type: ignore[attr-defined]


def _sign_off(cast: Cast, name: str, kind: str, given: str, until: str) -> None:
    give_sign_off(
        member=cast.person(name),
        kind=kind,
        expires_on=cast.day(until),
        by=cast.person("Odile"),
        at=cast.at(given, "18:00"),
    )
