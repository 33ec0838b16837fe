from django.db import models

from studio.records import AppendOnly


class LeachTest(AppendOnly):
    """A laboratory's leach test of fired pieces: of one recipe version on one clay in one firing.

    It speaks for that combination alone. What may be said from it: ``safety.calc.contact``.
    """

    class Method(models.TextChoices):
        ISO_6486_1 = "ISO 6486-1", "ISO 6486-1"
        ASTM_C738 = "ASTM C738", "ASTM C738"
        EU_84_500 = "84/500/EEC", "Directive 84/500/EEC"
        AOAC = "AOAC 973.32", "AOAC 973.32"
        OTHER = "other", "another method, named in the note"

    number = models.PositiveIntegerField(unique=True)
    version = models.ForeignKey("recipes.Version", models.PROTECT, related_name="leach_tests")
    replaces = models.OneToOneField("self", models.PROTECT, null=True, blank=True, related_name="replaced_by")
    batch = models.CharField(max_length=20, blank=True, help_text="batch number, as text")
    clay = models.CharField(max_length=80)
    firing = models.CharField(max_length=120, help_text="cone, atmosphere, schedule or firing log")
    layers = models.CharField(max_length=120, blank=True, help_text="coats, and what lay over or under it")
    laboratory = models.CharField(max_length=80)
    accreditation = models.CharField(max_length=60, blank=True)
    report_number = models.CharField(max_length=40)
    reported_on = models.DateField()
    method = models.CharField(max_length=12, choices=Method.choices)
    leachant = models.CharField(max_length=60, default="acetic acid 4 %")
    hours = models.DecimalField(max_digits=5, decimal_places=1, default=24)
    temperature_c = models.DecimalField(max_digits=4, decimal_places=1, null=True, blank=True)
    depth_mm = models.DecimalField(max_digits=6, decimal_places=1)
    volume_ml = models.DecimalField(max_digits=8, decimal_places=1)
    use = models.CharField(max_length=20, default="tableware", help_text="tableware, cup, pitcher …")
    pieces = models.PositiveSmallIntegerField()
    limit_set = models.CharField(max_length=20, help_text="key of a set in safety/data/leach_limits.csv")
    expires_on = models.DateField(help_text="set by the studio")
    file_digest = models.CharField(max_length=64, blank=True)
    file_size = models.PositiveIntegerField(default=0)
    note = models.CharField(max_length=200, blank=True)

    class Meta:
        ordering = ["-number"]
        indexes = [models.Index(fields=["version", "-number"], name="leach_test_of_version")]

    def __str__(self) -> str:
        return f"L{self.number:03d}"


class LeachResult(AppendOnly):
    """What was found of one element on one piece."""

    test = models.ForeignKey(LeachTest, models.PROTECT, related_name="results")
    piece = models.PositiveSmallIntegerField()
    element = models.CharField(max_length=2)
    value = models.DecimalField(max_digits=12, decimal_places=5)
    unit = models.CharField(max_length=7, help_text="mg/L or mg/dm²")
    below = models.BooleanField(default=False, help_text="not found: value is the detection limit")

    class Meta:
        ordering = ["test", "element", "piece"]
        constraints = [
            models.UniqueConstraint(fields=["test", "piece", "element"], name="one_result_a_piece")
        ]
