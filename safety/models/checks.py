from django.db import models

from studio.records import AppendOnly


class SafetyCheck(AppendOnly):
    """A look at what keeps people safe, done at its time: the next is due after the studio's own days."""

    class Kind(models.TextChoices):
        CLEANING = "cleaning", "wet cleaning"
        FILTER = "filter", "vacuum or air filter"
        EXTRACTION = "extraction", "extraction"
        TRAP = "trap", "sink trap"
        RESPIRATOR = "respirator", "respirator fit and filters"

    kind = models.CharField(max_length=10, choices=Kind.choices)
    person = models.ForeignKey(
        "people.Member", models.PROTECT, null=True, blank=True, related_name="+", help_text="whose respirator"
    )
    place = models.CharField(max_length=60, blank=True)
    good = models.BooleanField(help_text="it may go on being used")
    found = models.CharField(max_length=200, blank=True)
    replaces = models.OneToOneField("self", models.PROTECT, null=True, blank=True, related_name="replaced_by")

    class Meta:
        ordering = ["-at", "-id"]
        indexes = [models.Index(fields=["kind", "-at"], name="safety_check_of_kind")]
