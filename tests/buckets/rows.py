"""A pail, its glass and scale, and fills made by the acts. Figures of demo_studio.md and scenario A."""

from datetime import datetime, timedelta
from decimal import Decimal
from typing import Any

from django.utils import timezone

from buckets.models import Fill
from buckets.operations.fills import take_over_bucket
from buckets.operations.holding import release_fill
from studio.recipes.models import Line, Recipe
from studio.recipes.operations.recipes import TypedLine
from studio.room.models import Glass, Scale, Vessel
from tests.factories import (
    GlassFactory,
    MaterialFactory,
    ScaleFactory,
    VersionFactory,
    VesselFactory,
    bram,
)

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


# Gannet White of demo_studio.md: material, kind, percent, density (reference table, frits 2.50), caution
GANNET = (
    ("Soda feldspar", "base", "22", "2.605", ""),
    ("Frit A", "base", "28", "2.50", ""),
    ("Silica", "base", "17", "2.648", "quartz dust"),
    ("Kaolin", "base", "17", "2.59", ""),
    ("Wollastonite", "base", "16", "2.92", ""),
    ("Zirconium silicate", "addition", "10", "4.60", ""),
)


def gannet() -> Recipe:
    """Gannet White, cone 6, 1.45 +- 0.02, opaque gloss; its powder comes to 2.731 g/mL."""
    there = Recipe.objects.filter(name="Gannet White").first()
    if there is None:
        lines = [
            TypedLine(
                kind=Line.Kind(kind),
                material=MaterialFactory(name=name, density=density, hazard_words=words),
                typed_name=name,
                parts=Decimal(parts),
                typed=parts,
            )
            for name, kind, parts, density, words in GANNET
        ]
        there = VersionFactory(
            name="Gannet White", look="opaque gloss, clean white", target_sg="1.45", lines=lines
        ).recipe
    return Recipe.objects.select_related("current").get(pk=there.pk)


def found(code: str = "B02", *, litres: str = "8", at: datetime | None = None, **said: Any) -> Fill:
    """A bucket taken over, still in testing."""
    said = said or {"recipe": gannet()}
    at = at or timezone.now() - 30 * DAY
    return take_over_bucket(vessel=pail(code), volume_l=Decimal(litres), by=bram(), at=at, **said)


def in_use(code: str = "B02", *, litres: str = "8", at: datetime | None = None, **said: Any) -> Fill:
    """A bucket taken over and released into use."""
    return release_fill(fill=found(code, litres=litres, at=at, **said), by=bram())
