"""A pail, its glass and scale, and fills made by the acts. Figures of demo_studio.md and scenario A."""

from datetime import datetime, timedelta
from decimal import Decimal
from typing import Any

from django.utils import timezone

from buckets.models import Fill
from buckets.operations.fills import take_over_bucket
from buckets.operations.holding import release_fill
from studio.materials.models import Material
from studio.recipes.models import Line, Recipe, Version
from studio.room.models import Glass, Scale, Vessel
from tests.factories import GlassFactory, ScaleFactory, VesselFactory, bram

HOUR, DAY = timedelta(hours=1), timedelta(days=1)


def pail(code: str = "B02") -> Vessel:
    """Pail P20: 25.6 / 28.8 / 35.0 cm, 20.36 L to the brim (day_in_the_room.md A)."""
    return VesselFactory(code=code)


def flask(name: str = "Flask 100", volume: str = "99.8", within: str = "0.2", empty: str = "58.2") -> Glass:
    """The calibrated vessel of A2: 99.8 mL +- 0.2, 58.2 g empty."""
    return Glass.objects.get(
        pk=GlassFactory(name=name, kind="flask", volume_ml=volume, tolerance_ml=within, empty_g=empty).pk
    )


def fine_scale(name: str = "Fine scale", division: str = "0.1", capacity: str = "600") -> Scale:
    return Scale.objects.get(pk=ScaleFactory(name=name, division_g=division, capacity_g=capacity).pk)


def gannet(**changes: Any) -> Recipe:
    """Gannet White, cone 6, 1.45 +- 0.02, powder 2.731 g/mL; two of its lines."""
    recipe, made = Recipe.objects.get_or_create(
        name="Gannet White",
        defaults={"look": "opaque gloss, clean white", "cone": "6", "note": "Slow to show thin spots."},
    )
    if made:
        version = Version.objects.create(
            recipe=recipe,
            number=1,
            state=Version.State.APPROVED,
            target_sg="1.45",
            half_window="0.02",
            particle_density="2.731",
            made_by=bram(),
            **changes,
        )
        for position, (name, words) in enumerate((("Silica", "quartz dust"), ("Zirconium silicate", ""))):
            material, _ = Material.objects.get_or_create(
                name=name, defaults={"density": "2.65", "hazard_words": words}
            )
            Line.objects.create(
                version=version, position=position, material=material, typed_name=name, parts="50", typed="50"
            )
        recipe.current = version
        recipe.save()
    return Recipe.objects.select_related("current").get(pk=recipe.pk)


def found(code: str = "B02", *, litres: str = "8", at: datetime | None = None, **said: Any) -> Fill:
    """A bucket taken over, still in testing."""
    said = said or {"recipe": gannet()}
    at = at or timezone.now() - 30 * DAY
    return take_over_bucket(vessel=pail(code), volume_l=Decimal(litres), by=bram(), at=at, **said)


def in_use(code: str = "B02", *, litres: str = "8", at: datetime | None = None, **said: Any) -> Fill:
    """A bucket taken over and released into use."""
    return release_fill(fill=found(code, litres=litres, at=at, **said), by=bram())
