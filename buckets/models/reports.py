from django.db import models


class Report(models.Model):
    """Something is wrong with it: holds the fill at once; a technician answers it with a decision."""

    fill = models.ForeignKey("buckets.Fill", models.PROTECT, related_name="reports")
    words = models.CharField(max_length=400)
    by = models.ForeignKey("people.Member", models.PROTECT, null=True, blank=True, related_name="+")
    at = models.DateTimeField()
    answered_by = models.ForeignKey("people.Member", models.PROTECT, null=True, blank=True, related_name="+")
    answered_at = models.DateTimeField(null=True, blank=True)
    answer = models.CharField(max_length=400, blank=True)

    class Meta:
        ordering = ["-at", "-id"]
