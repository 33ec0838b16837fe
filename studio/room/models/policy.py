from django.db import models

from studio.records import AppendOnly


class PolicyChange(AppendOnly):
    """One change of one rule of the studio; the newest row of a name is in force."""

    name = models.CharField(max_length=40)
    value = models.CharField(max_length=60)

    class Meta:
        ordering = ["-id"]
        indexes = [models.Index(fields=["name", "-id"], name="policy_newest")]
