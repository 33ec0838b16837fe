"""Particle densities that were measured, not reckoned from materials."""

from decimal import Decimal

from django.db.models import Q

from buckets.models import Density
from studio.recipes.models import Version

STANDING = Q(reverses=None, reversed_by=None)
# Of a particle density reckoned from materials, as an illustrative input of slurry reference e has it.
U_RECKONED = Decimal("0.05")


def measured_density(version: Version) -> Decimal | None:
    """The newest particle density (g/mL) measured in a fill of this version; None: none was."""
    there = Density.objects.filter(STANDING, fill__version=version, fill__reclaim=False, fill__tinted=False)
    return there.order_by("-at", "-id").values_list("particle_density", flat=True).first()
