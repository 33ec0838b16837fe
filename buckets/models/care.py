from django.db import models

from studio.quantities import QuantityField, length_field, mass_field, money_field, volume_field
from studio.records import AppendOnly


class Care(AppendOnly):
    """What was done to a fill. A correction is a second row that ``reverses`` the first."""

    class Kind(models.TextChoices):
        STIRRED = "stirred", "stirred"
        WATER_IN = "water in", "water in"
        POWDER_IN = "powder in", "powder in"
        WATER_OFF = "water off", "water off"
        SIEVED = "sieved", "sieved"
        ADDITIVE_IN = "additive in", "additive in"
        TOPPED_UP = "topped up", "topped up"
        SPLIT = "split", "split"
        MOVED = "moved", "moved"
        THAWED = "thawed", "thawed"

    # After one of these a reading no longer says what is in the bucket, and a new segment begins.
    CHANGES = (Kind.WATER_IN, Kind.POWDER_IN, Kind.WATER_OFF, Kind.ADDITIVE_IN, Kind.TOPPED_UP, Kind.THAWED)

    fill = models.ForeignKey("buckets.Fill", models.PROTECT, related_name="care")
    kind = models.CharField(max_length=12, choices=Kind.choices)
    volume_l = volume_field(
        null=True, blank=True, help_text="as told: water in or off, stock solution, slurry out"
    )
    mass_g = mass_field(
        null=True, blank=True, help_text="as told: powder, or additive as it stands in the jar"
    )
    change_l = volume_field(
        null=True, blank=True, help_text="what it did to the litres in the bucket, signed; empty: volume_l"
    )
    change_g = mass_field(null=True, blank=True, help_text="what it did to the mass in the bucket, signed")
    additive = models.CharField(max_length=40, blank=True)
    dose_pct = QuantityField(places=4, null=True, blank=True, help_text="on the dry glaze")
    stock_g_per_l = QuantityField(places=2, null=True, blank=True, help_text="of the stock solution")
    how = models.CharField(max_length=40, blank=True, help_text="decanted, standing open; mesh of the sieve")
    note = models.CharField(max_length=200, blank=True)
    part_of = models.ForeignKey(
        "self",
        models.PROTECT,
        null=True,
        blank=True,
        related_name="parts",
        help_text="the entry of the same act that this one belongs to: rinse water to its sieve",
    )
    reverses = models.OneToOneField("self", models.PROTECT, null=True, blank=True, related_name="reversed_by")

    class Meta:
        ordering = ["-at", "-id"]
        indexes = [models.Index(fields=["fill", "-at", "-id"], name="care_of_fill")]
        verbose_name_plural = "care"


class Powder(models.Model):
    """One line of a powder in, out of a lot: the movement holds the lot, the grams and what they cost."""

    append_only = True

    care = models.ForeignKey(Care, models.PROTECT, related_name="powder")
    movement = models.OneToOneField("materials.Movement", models.PROTECT, related_name="+")

    class Meta:
        ordering = ["id"]
        verbose_name_plural = "powder"


class WriteOff(AppendOnly):
    """What a fill still held when it was retired, what that was worth, and where it went."""

    class Went(models.TextChoices):
        USED_UP = "used up", "used up: only what was not worth keeping"
        RECLAIM = "reclaim", "into the reclaim bucket"
        WASTE = "waste", "into the waste drum"
        ELSEWHERE = "elsewhere", "somewhere else"

    fill = models.OneToOneField("buckets.Fill", models.PROTECT, related_name="write_off")
    went = models.CharField(max_length=10, choices=Went.choices)
    volume_l = volume_field()
    dry_g = mass_field(null=True, blank=True, help_text="empty: no reading, or no particle density")
    value = money_field(null=True, blank=True, help_text="of what its cost is known for; empty: of nothing")
    known_share = QuantityField(places=4, default=0, help_text="of the dry mass, that its cost is known for")

    class Meta:
        ordering = ["-at", "-id"]


class Use(AppendOnly):
    """Glaze a member took: litres, and how many pieces if they said."""

    fill = models.ForeignKey("buckets.Fill", models.PROTECT, related_name="uses")
    volume_l = volume_field()
    pieces = models.PositiveSmallIntegerField(null=True, blank=True)
    depth_cm = length_field(null=True, blank=True)
    reverses = models.OneToOneField("self", models.PROTECT, null=True, blank=True, related_name="reversed_by")

    class Meta:
        ordering = ["-at", "-id"]
        indexes = [models.Index(fields=["fill", "-at", "-id"], name="use_of_fill")]
