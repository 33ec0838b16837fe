"""A small studio for the backup tests: one row of every kind that is awkward to carry over."""

from datetime import UTC, date, datetime
from decimal import Decimal
from uuid import UUID

from studio.materials.models import Lot, Material, Movement
from studio.people.models import Counter, Entry, Member, SignOff
from studio.room.models import Vessel


def fill() -> None:
    """Invented people and stock: names in several scripts, nulls, exact amounts, JSON, times to the µs."""
    person = Member(username="odile", name="Odile Çelik-Ångström «中» 'q' \"d\" \\ \n 🪣", role="manager")
    person.set_password("clay on the wheel")
    person.save()
    SignOff.objects.create(member=person, kind="SG", expires_on=date(2031, 2, 28), given_by=person)
    Vessel.objects.create(code="B07", bottom_cm="26", top_cm="28.5", height_cm="36", empty_g="912.5")
    frit = Material.objects.create(name="Frit A", density="2.5", owned_g="24999.999", value="61.2345")
    lot = Lot.objects.create(code="L-1", material=frit, state="released", on_hand_g="24999.999")
    ledger = {"lot": lot, "material": frit}
    Movement.objects.create(
        **ledger, kind="opening stock", mass_g="25000", cost="61.2345", on_hand_after_g="25000", by=person
    )
    Movement.objects.create(
        **ledger,
        kind="corrected",
        mass_g=Decimal("-0.001"),
        on_hand_after_g="24999.999",
        at=datetime(2026, 4, 6, 8, 0, 0, 123456, tzinfo=UTC),
    )
    wrong = Movement.objects.create(**ledger, kind="written off", mass_g="-1", on_hand_after_g="24998.999")
    Movement.objects.create(
        **ledger, kind="written off", mass_g="1", on_hand_after_g="24999.999", reverses=wrong
    )
    Entry.objects.create(
        key=UUID(int=7),
        act="tried",
        content={"zweite": [1, 2.5, None, True, {"ü": "1,45"}], "a": 100000.0, "tiny": 1e-7},
        digest="0" * 64,
        by=person,
    )


def add_pair(number: int) -> None:
    """Two rows that belong together: a journal line, and the counter that counts such lines."""
    Entry.objects.create(key=UUID(int=1000 + number), act="counted", digest="1" * 64)
    Counter.objects.filter(name="pairs").update(last=number)
