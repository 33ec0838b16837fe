from django.db import models


class Notice(models.Model):
    """A sentence for one person, with the page it speaks of. ``Member.unread`` counts the new ones."""

    to = models.ForeignKey("people.Member", models.PROTECT, related_name="notices")
    words = models.CharField(max_length=300)
    address = models.CharField(max_length=200, blank=True)
    at = models.DateTimeField()
    read_at = models.DateTimeField(null=True, blank=True)

    class Meta:
        ordering = ["-at", "-id"]
        indexes = [models.Index(fields=["to", "-id"], name="notice_to")]
