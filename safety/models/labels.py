from django.db import models
from django.utils import timezone


class Label(models.Model):
    """One printed label: a serial, what it is on (a plain reference) and a copy of what it says.

    printed → applied (by scanning it on the bucket) → void. One label is in force per thing and
    purpose; a reprint voids the one before and names it.
    """

    class Purpose(models.TextChoices):
        BUCKET = "bucket", "bucket label"
        WORKING = "working", "working label"
        CUP = "cup", "cup label"
        TUB = "tub", "label of a tub"
        POT = "pot", "label of a weighed pot"
        TILES = "tiles", "label of test tiles"
        WASTE = "waste", "waste label"
        LOT = "lot", "lot label"

    class State(models.TextChoices):
        PRINTED = "printed", "printed"
        APPLIED = "applied", "applied"
        VOID = "void", "void"

    serial = models.CharField(max_length=12, unique=True)
    purpose = models.CharField(max_length=10, choices=Purpose.choices)
    on_kind = models.CharField(
        max_length=40,
        help_text="buckets.fill, batches.batch, buckets.cup, materials.lot or safety.container",
    )
    on_id = models.BigIntegerField()
    vessel_code = models.CharField(max_length=12, blank=True)
    content = models.JSONField(default=dict)
    classification = models.ForeignKey(
        "safety.Classification",
        models.PROTECT,
        null=True,
        blank=True,
        related_name="labels",
        help_text="what its hazard part was printed from; none: not classified then",
    )
    state = models.CharField(max_length=10, choices=State.choices, default=State.PRINTED)
    print_number = models.PositiveSmallIntegerField(default=1, help_text="which print for the same thing")
    printed_at = models.DateTimeField(default=timezone.now)
    printed_by = models.ForeignKey("people.Member", models.PROTECT, null=True, blank=True, related_name="+")
    applied_at = models.DateTimeField(null=True, blank=True)
    void_at = models.DateTimeField(null=True, blank=True)
    void_reason = models.CharField(max_length=120, blank=True)
    seen_at = models.DateTimeField(
        null=True, blank=True, help_text="when it was last scanned after it became void"
    )
    taken_off_at = models.DateTimeField(
        null=True, blank=True, help_text="when somebody took the void label off"
    )

    class Meta:
        ordering = ["-id"]
        constraints = [
            models.UniqueConstraint(
                fields=["on_kind", "on_id", "purpose"],
                condition=~models.Q(state="void"),
                name="one_label_in_force",
            )
        ]
        indexes = [models.Index(fields=["vessel_code", "-id"], name="label_of_vessel")]

    def __str__(self) -> str:
        return self.serial

    @property
    def on_what(self) -> str:
        """What it is on, for a person: the bucket's code, else the name of what is in it."""
        return self.vessel_code or self.name

    @property
    def name(self) -> str:
        """The name printed on it."""
        return self.content.get("title") or self.content.get("glaze", "")
