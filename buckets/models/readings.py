from django.db import models

from studio.quantities import QuantityField, length_field, mass_field, sg_field, volume_field
from studio.records import AppendOnly


class Reading(AppendOnly):
    """One measured specific gravity of a fill. Only a technician's is a ``is_check``.

    A correction is a new row that ``replaces`` the old one; a row with ``sg`` empty takes the old
    one back without putting another in its place.
    """

    class Method(models.TextChoices):
        WEIGHED = "weighed", "known volume weighed"
        AGAINST_WATER = "against water", "same vessel against water"
        HYDROMETER = "hydrometer", "hydrometer"
        BAUME = "baumé", "degrees Baumé, heavy"
        TWADDELL = "twaddell", "degrees Twaddell"
        OZ_IMPERIAL = "oz imperial pint", "ounces in an imperial pint"
        OZ_US = "oz US pint", "ounces in a US pint"
        G_100ML = "g/100 mL", "grams in 100 mL"
        G_L = "g/L", "grams in a litre"
        LB_US_GAL = "lb/US gal", "pounds in a US gallon"
        TYPED = "typed", "value typed"

    fill = models.ForeignKey("buckets.Fill", models.PROTECT, related_name="readings")
    sg = sg_field(null=True, blank=True)
    u_sg = QuantityField(places=5, null=True, blank=True, help_text="standard uncertainty of sg")
    method = models.CharField(max_length=20, choices=Method.choices)
    gross_g = mass_field(null=True, blank=True)
    tare_g = mass_field(null=True, blank=True)
    glass = models.ForeignKey("room.Glass", models.PROTECT, null=True, blank=True, related_name="+")
    scale = models.ForeignKey("room.Scale", models.PROTECT, null=True, blank=True, related_name="+")
    as_read = QuantityField(
        places=4, null=True, blank=True, help_text="number on the instrument, unit by method"
    )
    modulus = QuantityField(places=2, null=True, blank=True, help_text="of the Baumé scale")
    water_g = mass_field(null=True, blank=True, help_text="the same vessel filled with water, gross")
    hydrometer = models.ForeignKey("room.Hydrometer", models.PROTECT, null=True, blank=True, related_name="+")
    repeats = models.ForeignKey(
        "self",
        models.PROTECT,
        null=True,
        blank=True,
        related_name="repeated_by",
        help_text="the reading of the same stir that this one repeats",
    )
    temperature_c = QuantityField(places=1, null=True, blank=True)
    depth_cm = length_field(null=True, blank=True)
    bucket_g = mass_field(null=True, blank=True, help_text="the bucket weighed with what is in it")
    volume_l = volume_field(null=True, blank=True)
    is_check = models.BooleanField()
    note = models.CharField(max_length=200, blank=True)
    replaces = models.OneToOneField("self", models.PROTECT, null=True, blank=True, related_name="replaced_by")

    class Meta:
        ordering = ["-at", "-id"]
        indexes = [models.Index(fields=["fill", "-at", "-id"], name="reading_of_fill")]


class Flow(AppendOnly):
    """Seconds through a flow cup. Outside the cup's range the seconds stand alone.

    A correction is a new row that ``replaces`` the old one; a row without ``seconds`` takes it back.
    """

    fill = models.ForeignKey("buckets.Fill", models.PROTECT, related_name="flows")
    cup = models.ForeignKey("room.FlowCup", models.PROTECT, related_name="+")
    seconds = QuantityField(places=1, null=True, blank=True)
    viscosity_mm2_s = QuantityField(places=1, null=True, blank=True, help_text="nominal; empty: out of range")
    temperature_c = QuantityField(places=1, null=True, blank=True)
    is_reference = models.BooleanField(default=False, help_text="the fill is held against this one")
    note = models.CharField(max_length=200, blank=True)
    replaces = models.OneToOneField("self", models.PROTECT, null=True, blank=True, related_name="replaced_by")

    class Meta:
        ordering = ["-at", "-id"]
        indexes = [models.Index(fields=["fill", "-at", "-id"], name="flow_of_fill")]


class Density(AppendOnly):
    """Particle density of a glaze measured: a known volume dried to constant mass (g/mL)."""

    fill = models.ForeignKey("buckets.Fill", models.PROTECT, related_name="densities")
    glass = models.ForeignKey("room.Glass", models.PROTECT, related_name="+")
    tare_g = mass_field()
    gross_g = mass_field()
    temperature_c = QuantityField(places=1)
    sg = sg_field(help_text="g/mL as weighed")
    volume_ml = QuantityField(places=3)
    dry_g = mass_field()
    particle_density = QuantityField(places=3, help_text="g/mL")
    u = QuantityField(places=3, help_text="standard uncertainty of particle_density")
    before = QuantityField(places=3, null=True, blank=True, help_text="what the fill had before")
    note = models.CharField(max_length=200, blank=True)
    reverses = models.OneToOneField("self", models.PROTECT, null=True, blank=True, related_name="reversed_by")

    class Meta:
        ordering = ["-at", "-id"]
        verbose_name_plural = "densities"


class Settling(AppendOnly):
    """How fast a glaze settles, seen once: a clear layer in a jar, or a sample from the top of it."""

    class Kind(models.TextChoices):
        CLEAR_LAYER = "clear layer", "clear layer in a jar"
        TOP_SAMPLE = "top sample", "sample from dip depth"

    fill = models.ForeignKey("buckets.Fill", models.PROTECT, related_name="settlings")
    kind = models.CharField(max_length=12, choices=Kind.choices)
    sg = sg_field(help_text="when stirred")
    minutes = QuantityField(places=1)
    clear_mm = QuantityField(places=1, null=True, blank=True)
    top_sg = sg_field(null=True, blank=True)
    temperature_c = QuantityField(places=1, null=True, blank=True)
    settles_min = QuantityField(places=1, help_text="until the next stir is due, worked out")
    note = models.CharField(max_length=200, blank=True)
    reverses = models.OneToOneField("self", models.PROTECT, null=True, blank=True, related_name="reversed_by")

    class Meta:
        ordering = ["-at", "-id"]
