from django.db import models
from django.utils import timezone

from studio.quantities import QuantityField, mass_field, sg_field, volume_field


class Fill(models.Model):
    """What is in a vessel from pouring in to emptied.

    The fields below ``--- as it stands`` are kept beside the readings and care, so that the shelf
    is one query: the newest rows of history say the same (``manage.py prove``).
    """

    class State(models.TextChoices):
        TESTING = "testing", "testing"
        IN_USE = "in use", "in use"
        EMPTIED = "emptied", "emptied"

    number = models.PositiveIntegerField(unique=True)
    vessel = models.ForeignKey("room.Vessel", models.PROTECT, related_name="fills")
    recipe = models.ForeignKey("recipes.Recipe", models.PROTECT, null=True, blank=True, related_name="fills")
    version = models.ForeignKey(
        "recipes.Version", models.PROTECT, null=True, blank=True, related_name="fills"
    )
    glaze = models.CharField(max_length=80)
    look = models.CharField(max_length=160, blank=True)
    cone = models.CharField(max_length=4, blank=True)
    atmosphere = models.CharField(max_length=12, blank=True)
    colour = models.CharField(max_length=7, default="#8a8f86")
    target_sg = sg_field(null=True, blank=True)
    half_window = sg_field(null=True, blank=True)
    particle_density = QuantityField(places=3, null=True, blank=True)
    settles_min = QuantityField(places=1, null=True, blank=True)
    soluble = models.BooleanField(default=False)
    contents = models.JSONField(default=list, help_text='[{"material": …, "words": …}], strictest inherited')
    history_unknown = models.BooleanField(default=False)
    reclaim = models.BooleanField(default=False, help_text="what came together; not for food surfaces")
    tinted = models.BooleanField(
        default=False, help_text="foreign glaze may be in it: no food-surface claim until tile and reading"
    )
    tile_due = models.BooleanField(default=False, help_text="released before its tile was fired")
    made_of = models.JSONField(
        default=list,
        help_text='[{"version": …, "name": …, "share": "0.735000"}], of the dry mass, as poured',
    )
    predicted_sg = sg_field(null=True, blank=True, help_text="what mixing two fills should give, by volume")
    released_at = models.DateTimeField(null=True, blank=True, help_text="since when it may be used")
    poured_at = models.DateTimeField(default=timezone.now)
    state = models.CharField(max_length=10, choices=State.choices, default=State.TESTING)
    held_at = models.DateTimeField(null=True, blank=True)
    held_reason = models.CharField(max_length=200, blank=True)
    emptied_at = models.DateTimeField(null=True, blank=True)
    emptied_why = models.CharField(max_length=200, blank=True)

    # --- as it stands
    volume_l = volume_field(default=0)
    check_reading = models.ForeignKey(
        "buckets.Reading",
        models.PROTECT,
        null=True,
        blank=True,
        related_name="+",
        help_text="the technician's last reading",
    )
    member_reading = models.ForeignKey(
        "buckets.Reading",
        models.PROTECT,
        null=True,
        blank=True,
        related_name="+",
        help_text="a member's last reading",
    )
    stirred_at = models.DateTimeField(null=True, blank=True)
    stirred_by = models.ForeignKey("people.Member", models.PROTECT, null=True, blank=True, related_name="+")

    flow = models.ForeignKey(
        "buckets.Flow", models.PROTECT, null=True, blank=True, related_name="+", help_text="the newest"
    )
    flow_reference = models.ForeignKey(
        "buckets.Flow",
        models.PROTECT,
        null=True,
        blank=True,
        related_name="+",
        help_text="how it should flow",
    )
    tile = models.ForeignKey(
        "buckets.Tile", models.PROTECT, null=True, blank=True, related_name="+", help_text="the newest"
    )
    unexplained = models.ForeignKey(
        "buckets.Reading",
        models.PROTECT,
        null=True,
        blank=True,
        related_name="+",
        help_text="the technician's last reading, when unexpected and nobody has said why",
    )
    residual_count = models.PositiveIntegerField(default=0, help_text="intervals between readings")
    residual_sum = QuantityField(places=5, default=0, help_text="of their residuals without sign")
    edge_at = models.DateTimeField(
        null=True, blank=True, help_text="when the window's edge is reached if it drifts on like this"
    )
    # up to which row of each kind the intervals were worked out
    told_reading = models.PositiveBigIntegerField(default=0, editable=False)
    told_care = models.PositiveBigIntegerField(default=0, editable=False)
    told_use = models.PositiveBigIntegerField(default=0, editable=False)

    class Meta:
        ordering = ["vessel__code"]
        constraints = [
            models.UniqueConstraint(
                fields=["vessel"], condition=models.Q(emptied_at=None), name="one_open_fill_per_vessel"
            )
        ]

    def __str__(self) -> str:
        return f"{self.glaze} in {self.vessel.code}"

    @property
    def held(self) -> bool:
        return self.held_at is not None


class Parent(models.Model):
    """Where a fill came from: a batch, another fill, or found; with its dry mass and share."""

    append_only = True

    fill = models.ForeignKey(Fill, models.CASCADE, related_name="parents")
    batch = models.ForeignKey(
        "batches.Batch", models.PROTECT, null=True, blank=True, related_name="poured_into"
    )
    parent_fill = models.ForeignKey(Fill, models.PROTECT, null=True, blank=True, related_name="children")
    version = models.ForeignKey("recipes.Version", models.PROTECT, null=True, blank=True, related_name="+")
    dry_g = mass_field(null=True, blank=True)
    dry_share = QuantityField(places=6, null=True, blank=True, help_text="of the dry mass, 0 to 1")
