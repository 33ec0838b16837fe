"""Who the studio is: each change is one more row, the newest counts."""

import re
from collections.abc import Callable
from datetime import datetime
from typing import Any
from uuid import UUID

from studio.errors import Refused
from studio.people import rights
from studio.people.acts import act
from studio.people.doors import refuse_unless
from studio.people.models import Member
from studio.room.details import in_force
from studio.room.models import Details

FIELDS = ("name", "address", "phone", "emergency", "law")
LONGEST = {"name": 80, "address": 200, "phone": 40, "emergency": 200}
# What else is to be done: another app adds its own, told how it stood, how it stands, by whom and when.
ONCE_CHANGED: list[Callable[[Details, Details, Member | None, datetime | None], None]] = []
_PHONE = re.compile(r"[0-9+()/. -]+(ext\.? ?[0-9]+)?")


@act("studio's details changed")
def change_details(
    *,
    name: str,
    address: str = "",
    phone: str = "",
    emergency: str = "",
    law: str = "EU",
    by: Member | None,
    key: UUID | None = None,
    at: datetime | None = None,
    raw: str = "",
) -> Details:
    """From now on labels and the binder say this; what is printed already keeps what it says.

    ``emergency`` is a sentence ("112; poison centre …"), ``law`` EU, US or UN. Refused without a name, for a
    phone nobody can dial, a law that is not one of those, and for what is so already.
    """
    refuse_unless(by, rights.ROOM)
    typed = {"name": name, "address": address, "phone": phone, "emergency": emergency}
    texts = {field: " ".join(text.split()) for field, text in typed.items()}
    _refuse_texts(texts)
    if law not in Details.Law.values:
        raise Refused("The law is EU, US or UN.", field="law")
    now = texts | {"law": law}
    stands = in_force()
    if stands.pk is not None and all(getattr(stands, field) == now[field] for field in FIELDS):
        raise Refused("That is how it stands already.")
    when: dict[str, Any] = {"at": at} if at else {}
    row = Details.objects.create(**now, by=by, raw=raw, **when)
    for then in ONCE_CHANGED:
        then(stands, row, by, at)
    return row


def _refuse_texts(texts: dict[str, str]) -> None:
    if not texts["name"]:
        raise Refused("A label needs the studio's name.", field="name")
    for field, longest in LONGEST.items():
        if len(texts[field]) > longest:
            raise Refused(f"At most {longest} letters.", field=field)
    phone = texts["phone"]
    if phone and (not _PHONE.fullmatch(phone) or sum(sign.isdigit() for sign in phone) < 3):
        raise Refused("A phone number has digits, like +49 30 5550 123.", field="phone")
