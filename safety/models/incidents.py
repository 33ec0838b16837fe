from django.db import models

from studio.records import AppendOnly


class Incident(AppendOnly):
    """A spill (for technicians and managers) or an injury (for managers alone). Never edited: added to."""

    class Kind(models.TextChoices):
        SPILL = "spill", "spill"
        INJURY = "injury", "injury"

    number = models.PositiveIntegerField(help_text="counted for each kind by itself")
    kind = models.CharField(max_length=6, choices=Kind.choices)
    place = models.CharField(max_length=60, blank=True)
    material = models.ForeignKey(
        "materials.Material", models.PROTECT, null=True, blank=True, related_name="+"
    )
    what = models.TextField(help_text="what happened")
    done = models.TextField(blank=True, help_text="what was done at once")

    class Meta:
        ordering = ["-number"]
        # A number that is missing among the spills would tell of an injury.
        constraints = [
            models.UniqueConstraint(fields=["kind", "number"], name="one_number_of_each_kind_of_incident")
        ]

    def __str__(self) -> str:
        return f"{'N' if self.kind == self.Kind.SPILL else 'H'}{self.number:03d}"


class Aftermath(AppendOnly):
    """Something added to an incident later; the last one may close it."""

    incident = models.ForeignKey(Incident, models.PROTECT, related_name="aftermath")
    what = models.TextField()
    closes = models.BooleanField(default=False)

    class Meta:
        ordering = ["id"]
