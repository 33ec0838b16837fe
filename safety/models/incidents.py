from django.db import models

from studio.records import AppendOnly


class Incident(AppendOnly):
    """A spill (for technicians and managers) or an injury (for managers alone). Never edited: added to."""

    class Kind(models.TextChoices):
        SPILL = "spill", "spill"
        INJURY = "injury", "injury"

    number = models.PositiveIntegerField(unique=True)
    kind = models.CharField(max_length=6, choices=Kind.choices)
    place = models.CharField(max_length=60, blank=True)
    material = models.ForeignKey(
        "materials.Material", models.PROTECT, null=True, blank=True, related_name="+"
    )
    what = models.TextField(help_text="what happened")
    done = models.TextField(blank=True, help_text="what was done at once")

    class Meta:
        ordering = ["-number"]

    def __str__(self) -> str:
        return f"N{self.number:03d}"


class Aftermath(AppendOnly):
    """Something added to an incident later; the last one may close it."""

    incident = models.ForeignKey(Incident, models.PROTECT, related_name="aftermath")
    what = models.TextField()
    closes = models.BooleanField(default=False)

    class Meta:
        ordering = ["id"]
