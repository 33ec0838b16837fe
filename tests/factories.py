"""Rows for tests. Where history matters the acts make them: none is in a state that no act leads to."""

from datetime import timedelta

import factory
from django.utils import timezone

from studio.people.models import Member, SignOff
from studio.room.models import Glass, Scale, Vessel

PASSWORD = "slow-wet-clay"


class MemberFactory(factory.django.DjangoModelFactory):
    """A person who signs in with their name in small letters and PASSWORD."""

    class Meta:
        model = Member
        django_get_or_create = ("username",)
        skip_postgeneration_save = True

    name = factory.Sequence(lambda n: f"Person {n}")
    username = factory.LazyAttribute(lambda m: m.name.lower().replace(" ", "."))
    role = "member"
    password = factory.django.Password(PASSWORD)


class SignOffFactory(factory.django.DjangoModelFactory):
    """A sign-off given by Odile, in force for 30 days."""

    class Meta:
        model = SignOff

    member = factory.SubFactory(MemberFactory, role="helper")
    kind = "weighing"
    given_by = factory.SubFactory(MemberFactory, name="Odile", role="manager")
    expires_on = factory.LazyFunction(lambda: timezone.localdate() + timedelta(days=30))


def person(name: str, role: str = "member", *, signed_off: tuple[str, ...] = ()) -> Member:
    """A member by name; ``signed_off`` holds the kinds of work they are signed off for."""
    row = MemberFactory(name=name, role=role)
    for kind in signed_off:
        SignOffFactory(member=row, kind=kind)
    return row


class VesselFactory(factory.django.DjangoModelFactory):
    """A pail P20 of the demo studio: 20.36 L to the brim, 17.31 L at 85 % ("demo_studio.md", vessels)."""

    class Meta:
        model = Vessel
        django_get_or_create = ("code",)

    code = factory.Sequence(lambda n: f"B{n + 50:02}")
    bottom_cm = "25.6"
    top_cm = "28.8"
    height_cm = "35.0"
    empty_g = "1135"
    place = "middle shelf"


class ScaleFactory(factory.django.DjangoModelFactory):
    """The bulk scale of the demo studio: 5 kg in steps of 1 g."""

    class Meta:
        model = Scale
        django_get_or_create = ("name",)

    name = "Bulk scale"
    division_g = "1"
    capacity_g = "5000"


class GlassFactory(factory.django.DjangoModelFactory):
    """The cylinder of the demo studio: 100 mL, class A, ± 0.50 mL. Its weight is from memory."""

    class Meta:
        model = Glass
        django_get_or_create = ("name",)

    name = "Cylinder 100"
    kind = "cylinder"
    volume_ml = "100"
    tolerance_ml = "0.50"
    empty_g = "65.7"
