"""What every row of history has in common."""

from django.conf import settings
from django.db import models
from django.utils import timezone


class AppendOnly(models.Model):
    """A row of history: inserted once, then neither changed nor deleted (triggers see to it).

    ``at`` is when it happened, ``entered_at`` when it was written down; a back-dated row keeps both.
    """

    append_only = True  # what the triggers go by

    by = models.ForeignKey(settings.AUTH_USER_MODEL, models.PROTECT, null=True, blank=True, related_name="+")
    at = models.DateTimeField(default=timezone.now)
    entered_at = models.DateTimeField(default=timezone.now, editable=False)
    raw = models.TextField(blank=True, default="", help_text="what was typed, as it was typed")

    class Meta:
        abstract = True
