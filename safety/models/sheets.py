from django.db import models

from studio.records import AppendOnly


class Sheet(AppendOnly):
    """One version of what is known of a material: its safety data sheet, or what stands in for one.

    A newer version ``replaces`` the older one, which is kept. ``hazards`` is what section 2 says of the
    product as a whole, in the shape of ``safety.calc.hazards.Hazards``. The sections are a person's copy of
    the sheet's own words, shown by our pages; the file itself is only ever handed over as a download.
    """

    class Kind(models.TextChoices):
        SHEET = "sheet", "safety data sheet"
        LETTER = "letter", "supplier's letter: not hazardous"
        TABLE = "table", "composition from our table; no sheet here"

    class Law(models.TextChoices):
        EU = "EU", "EU, CLP"
        US = "US", "US, HCS 2024"
        UN = "UN", "UN GHS"
        OTHER = "other", "another country's"

    number = models.PositiveIntegerField(unique=True, help_text="its number in the binder")
    material = models.ForeignKey("materials.Material", models.PROTECT, related_name="sheets")
    kind = models.CharField(max_length=8, choices=Kind.choices, default=Kind.SHEET)
    replaces = models.OneToOneField("self", models.PROTECT, null=True, blank=True, related_name="replaced_by")
    product = models.CharField(max_length=120, help_text="name as printed on the sheet")
    supplier = models.CharField(max_length=80, blank=True)
    supplier_address = models.CharField(max_length=200, blank=True)
    phone = models.CharField(max_length=40, blank=True)
    emergency_phone = models.CharField(max_length=80, blank=True, help_text="with its hours")
    language = models.CharField(max_length=20, blank=True)
    law = models.CharField(max_length=5, choices=Law.choices, default=Law.EU)
    rule_set = models.CharField(max_length=60, blank=True, help_text="CLP, 22nd adaptation")
    version = models.CharField(max_length=20, blank=True)
    issued_on = models.DateField(null=True, blank=True)
    revised_on = models.DateField(null=True, blank=True)
    review_on = models.DateField(null=True, blank=True, help_text="earlier than the studio's rule")
    hazards = models.JSONField(default=dict, help_text="section 2, of the product as a whole")
    ph = models.DecimalField(max_digits=4, decimal_places=1, null=True, blank=True)
    section_2 = models.TextField(blank=True)
    section_4 = models.TextField(blank=True)
    section_6 = models.TextField(blank=True)
    section_7 = models.TextField(blank=True)
    section_8 = models.TextField(blank=True)
    file_digest = models.CharField(max_length=64, blank=True, help_text="SHA-256 of the PDF; empty: no file")
    file_size = models.PositiveIntegerField(default=0, help_text="bytes")
    note = models.CharField(max_length=200, blank=True)

    class Meta:
        ordering = ["-number"]
        indexes = [models.Index(fields=["material", "-number"], name="sheet_of_material")]

    def __str__(self) -> str:
        return f"S{self.number:03d}"

    @property
    def stands(self) -> bool:
        """Whether no newer version replaces it. Fetch with ``replaced_by``."""
        return getattr(self, "replaced_by", None) is None


class Covers(AppendOnly):
    """A sheet is the one for this lot, too. A lot without one is not covered."""

    sheet = models.ForeignKey(Sheet, models.PROTECT, related_name="covers")
    lot = models.ForeignKey("materials.Lot", models.PROTECT, related_name="covered_by")

    class Meta:
        ordering = ["id"]
        constraints = [models.UniqueConstraint(fields=["sheet", "lot"], name="sheet_covers_lot_once")]


class Constituent(AppendOnly):
    """One substance in a material, as a sheet's section 3 says it; never changed, a new sheet says it anew.

    Shares are mass percent; where a sheet gives a range the upper end counts. ``hazards`` has the shape of
    ``safety.calc.hazards.Hazards``; what it ``stated`` tells unknown, not hazardous and not stated apart.
    ``fine_pct``: crystalline silica in its fine fraction, percent of the material; None: no figure.
    """

    sheet = models.ForeignKey(Sheet, models.PROTECT, related_name="constituents")
    position = models.PositiveSmallIntegerField()
    name = models.CharField(max_length=120)
    cas = models.CharField(max_length=12, blank=True)
    low_pct = models.DecimalField(max_digits=7, decimal_places=4, null=True, blank=True)
    high_pct = models.DecimalField(max_digits=7, decimal_places=4)
    fine_pct = models.DecimalField(max_digits=7, decimal_places=4, null=True, blank=True)
    hazards = models.JSONField(default=dict)

    class Meta:
        ordering = ["sheet", "position"]
        constraints = [models.UniqueConstraint(fields=["sheet", "position"], name="constituent_in_its_place")]

    def __str__(self) -> str:
        return self.name


class Acknowledgement(AppendOnly):
    """A technician lets a hazardous material be weighed though its sheet is not current, and says why."""

    material = models.ForeignKey("materials.Material", models.PROTECT, related_name="acknowledgements")
    what = models.CharField(max_length=60, help_text="batch 26-014")
    reason = models.CharField(max_length=200)

    class Meta:
        ordering = ["-id"]
        indexes = [models.Index(fields=["what", "material"], name="acknowledged_for")]
