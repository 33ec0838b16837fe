from django.db import models
from django.db.models.functions import Lower

from studio.quantities import QuantityField, mass_field, money_field


class Material(models.Model):
    """A raw material of one grade. ``density`` is that of its particles, g/mL.

    ``owned_g``, ``reserved_g`` and ``value`` are balances kept beside the ledger: owned over all
    lots (quarantine included), promised to batches, and worth at moving average.
    """

    class State(models.TextChoices):
        CURRENT = "current", "current"
        ENDED = "discontinued", "discontinued"

    class Role(models.TextChoices):
        PLAIN = "plain", "feldspar, silica, clay, flux or frit"
        COLOURANT = "colourant", "colourant"
        OPACIFIER = "opacifier", "opacifier"
        ADDITIVE = "additive", "gum, salt, deflocculant or suspender"

    name = models.CharField(max_length=80)
    role = models.CharField(max_length=12, choices=Role.choices, default=Role.PLAIN)
    density = QuantityField(places=3)
    density_source = models.CharField(max_length=200, blank=True)
    soluble = models.BooleanField(default=False, help_text="dissolves in the glaze water, wholly or partly")
    hazard_words = models.CharField(
        max_length=200, blank=True, help_text="as far as known: silica dust, toxic, stains, low …"
    )
    state = models.CharField(max_length=12, choices=State.choices, default=State.CURRENT)
    owned_g = mass_field(default=0)
    reserved_g = mass_field(default=0)
    value = money_field(default=0)

    class Meta:
        ordering = ["name"]
        constraints = [models.UniqueConstraint(Lower("name"), name="material_name_once")]

    def __str__(self) -> str:
        return self.name

    @property
    def fine(self) -> bool:
        """Whether its lines take the narrow band of colourants and opacifiers."""
        return self.role in (self.Role.COLOURANT, self.Role.OPACIFIER)


class Alias(models.Model):
    """Another name the same material goes by."""

    material = models.ForeignKey(Material, models.CASCADE, related_name="aliases")
    name = models.CharField(max_length=80)

    class Meta:
        ordering = ["name"]
        constraints = [models.UniqueConstraint(Lower("name"), name="alias_name_once")]

    def __str__(self) -> str:
        return self.name
