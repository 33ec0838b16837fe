from django.db import models


class Report(models.Model):
    """Something is wrong with it: holds the fill at once; a technician answers it with a decision."""

    class Kind(models.TextChoices):
        SPECKS = "specks", "Specks"
        COLOUR = "wrong colour", "Wrong colour"
        SMELL = "smell", "Smell"
        LUMPS = "lumps", "Lumps"
        LID = "lid or label", "Lid or label"
        OTHER = "other", "Something else"

    class Decision(models.TextChoices):
        TINTED = "tinted", "Release it as tinted: no food-surface claim until tile and reading"
        PUT_RIGHT = "put right", "Put right: release it"
        FALSE_ALARM = "false alarm", "False alarm: release it"
        RETIRE = "retire", "Retire it: it stays held until it is emptied"
        KEEP = "keep held", "Keep it held"

    LIFTING = (Decision.TINTED, Decision.PUT_RIGHT, Decision.FALSE_ALARM)

    fill = models.ForeignKey("buckets.Fill", models.PROTECT, related_name="reports")
    kind = models.CharField(max_length=12, choices=Kind.choices, default=Kind.OTHER)
    words = models.CharField(max_length=400, blank=True)
    by = models.ForeignKey("people.Member", models.PROTECT, null=True, blank=True, related_name="+")
    at = models.DateTimeField()
    sender = models.CharField(
        max_length=16, blank=True, help_text="of a stranger: a keyed digest of address and hour, to count by"
    )
    good_until = models.DateTimeField(
        null=True, blank=True, help_text="last good evidence, as a technician set it; empty: worked out"
    )
    good_why = models.CharField(max_length=200, blank=True, help_text="what shows that it was good then")
    answered_by = models.ForeignKey("people.Member", models.PROTECT, null=True, blank=True, related_name="+")
    answered_at = models.DateTimeField(null=True, blank=True)
    answer = models.CharField(max_length=400, blank=True)
    decision = models.CharField(max_length=12, choices=Decision.choices, blank=True)
    held_from = models.DateTimeField(
        null=True, blank=True, help_text="when the hold began under which it stood"
    )
    held_until = models.DateTimeField(null=True, blank=True, help_text="when that hold ended")

    class Meta:
        ordering = ["-at", "-id"]

    def __str__(self) -> str:
        return f"report {self.pk}"

    @property
    def said(self) -> str:
        """What was reported, as a sentence quotes it: kind, words in quotation marks, or both."""
        quoted = f"“{self.words}”" if self.words else ""
        named = "" if self.kind == self.Kind.OTHER else self.kind
        return ", ".join(filter(None, (named, quoted))) or "something is wrong"


class Photo(models.Model):
    """A photo of what was reported, made anew from what was sent: upright, without place or maker.

    The files lie under the attachments by the SHA-256 of what is in them; a small copy is for lists.
    """

    append_only = True

    report = models.ForeignKey(Report, models.PROTECT, related_name="photos")
    digest = models.CharField(max_length=64, help_text="SHA-256 of the file")
    small_digest = models.CharField(max_length=64, help_text="SHA-256 of its small copy")
    width = models.PositiveIntegerField(help_text="pixels")
    height = models.PositiveIntegerField(help_text="pixels")

    class Meta:
        ordering = ["id"]


class LotHold(models.Model):
    """Every bucket with any share of one lot held at once; lifted for all, or one by one."""

    lot = models.ForeignKey("materials.Lot", models.PROTECT, related_name="+")
    reason = models.CharField(max_length=140)
    by = models.ForeignKey("people.Member", models.PROTECT, related_name="+")
    at = models.DateTimeField()
    lifted_by = models.ForeignKey("people.Member", models.PROTECT, null=True, blank=True, related_name="+")
    lifted_at = models.DateTimeField(null=True, blank=True, help_text="when it was lifted for all")
    decision = models.CharField(max_length=400, blank=True)

    class Meta:
        ordering = ["-id"]

    def __str__(self) -> str:
        return f"hold of lot {self.lot_id}"

    @property
    def held_reason(self) -> str:
        """What each of its buckets says."""
        return f"lot {self.lot.code}: {self.reason}"


class HeldByLot(models.Model):
    """One fill under a hold of a lot. ``lifted_at`` ends it for this fill."""

    hold = models.ForeignKey(LotHold, models.PROTECT, related_name="fills")
    fill = models.ForeignKey("buckets.Fill", models.PROTECT, related_name="held_by_lots")
    lifted_at = models.DateTimeField(null=True, blank=True)
    decision = models.CharField(max_length=400, blank=True)

    class Meta:
        ordering = ["id"]
        constraints = [models.UniqueConstraint(fields=["hold", "fill"], name="fill_once_in_lot_hold")]
