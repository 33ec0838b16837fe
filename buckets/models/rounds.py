from django.db import models


class Round(models.Model):
    """A walk along the shelf, bucket by bucket: opening or closing. It keeps its place."""

    class Kind(models.TextChoices):
        OPENING = "opening", "opening round"
        CLOSING = "closing", "closing round"

    kind = models.CharField(max_length=10, choices=Kind.choices)
    by = models.ForeignKey("people.Member", models.PROTECT, related_name="+")
    started_at = models.DateTimeField()
    ended_at = models.DateTimeField(null=True, blank=True)

    class Meta:
        ordering = ["-started_at", "-id"]


class Stop(models.Model):
    """One bucket of a round: done, or passed by with a word why."""

    round = models.ForeignKey(Round, models.PROTECT, related_name="stops")
    vessel = models.ForeignKey("room.Vessel", models.PROTECT, related_name="+")
    fill = models.ForeignKey("buckets.Fill", models.PROTECT, null=True, blank=True, related_name="+")
    by = models.ForeignKey("people.Member", models.PROTECT, related_name="+")
    at = models.DateTimeField()
    passed = models.BooleanField(default=False)
    note = models.CharField(max_length=200, blank=True)

    class Meta:
        ordering = ["id"]
        constraints = [models.UniqueConstraint(fields=["round", "vessel"], name="one_stop_per_bucket")]
