from django.db import models

from studio.records import AppendOnly


class Entry(AppendOnly):
    """One act in the journal: who did what to what, with which words and numbers, and why.

    ``key`` is made by the client; the same key again answers with the first result.
    References are plain (kind and number), so the journal looks at nothing above it.
    """

    key = models.UUIDField(unique=True)
    act = models.CharField(max_length=60)
    content = models.JSONField(default=dict)
    digest = models.CharField(max_length=64)
    about_kind = models.CharField(max_length=40, blank=True)
    about_id = models.BigIntegerField(null=True, blank=True)
    result_kind = models.CharField(max_length=40, blank=True)
    result_id = models.BigIntegerField(null=True, blank=True)

    class Meta:
        ordering = ["-id"]
        indexes = [models.Index(fields=["about_kind", "about_id", "-id"], name="journal_about")]
        verbose_name_plural = "entries"


class Counter(models.Model):
    """The last number given out of a series ("batch 2026", "request", "label")."""

    name = models.CharField(max_length=40, unique=True)
    last = models.BigIntegerField(default=0)
