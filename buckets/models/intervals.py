from django.db import models

from studio.quantities import QuantityField, mass_field, sg_field, volume_field
from studio.records import AppendOnly


class Interval(models.Model):
    """From one technician's reading to the next: what was to be expected, and what came.

    Kept beside the history: worked out afresh around whatever changes in it. Whether it is unexpected is
    not kept: that is a question of its residual and of all residuals of the fill.
    """

    fill = models.ForeignKey("buckets.Fill", models.CASCADE, related_name="intervals")
    since = models.ForeignKey("buckets.Reading", models.CASCADE, related_name="+")
    reading = models.OneToOneField("buckets.Reading", models.CASCADE, related_name="interval")
    at = models.DateTimeField(help_text="of the reading")
    predicted_sg = sg_field(null=True, blank=True, help_text="empty: something went in that nobody weighed")
    residual = QuantityField(
        places=5,
        null=True,
        blank=True,
        help_text="reading minus predicted, signed; empty: not predicted, or too far apart",
    )
    begins_segment = models.BooleanField(
        default=False, help_text="something that changes the SG was logged in it"
    )
    used_l = volume_field(default=0, help_text="glaze logged as taken out in it")
    added_l = volume_field(default=0, help_text="what was logged in it did this to the litres, signed")
    added_g = mass_field(default=0, help_text="and this to the grams, signed")
    logged = models.JSONField(
        default=list, help_text='[{"at": …, "what": "water in", "l": "0.300"}], without uses'
    )

    class Meta:
        ordering = ["at", "reading_id"]
        indexes = [models.Index(fields=["fill", "-at"], name="interval_of_fill")]


class Explanation(AppendOnly):
    """A person says why a reading was not as expected. It explains; it corrects nothing by itself."""

    class Why(models.TextChoices):
        FORGOT = "forgot to log", "something was not written down"
        UNSTIRRED = "not stirred", "it was not stirred when measured"
        OTHER_BUCKET = "other bucket", "the reading belongs to another bucket"
        CONTAMINATED = "contaminated", "something else got into it"
        OTHER = "other", "another reason"

    reading = models.ForeignKey("buckets.Reading", models.PROTECT, related_name="explanations")
    why = models.CharField(max_length=20, choices=Why.choices)
    volume_l = volume_field(null=True, blank=True, help_text="water that was not logged; negative: lost")
    note = models.CharField(max_length=200, blank=True)

    class Meta:
        ordering = ["-at", "-id"]
