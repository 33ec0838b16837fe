from django.db import models
from django.db.models.functions import Lower
from django.utils import timezone

from studio.quantities import QuantityField, sg_field


class Recipe(models.Model):
    """A glaze by name. What it is made of stands in its versions."""

    class State(models.TextChoices):
        CURRENT = "current", "current"
        RETIRED = "retired", "retired"

    class Atmosphere(models.TextChoices):
        OXIDATION = "oxidation", "oxidation"
        REDUCTION = "reduction", "reduction"
        NEUTRAL = "neutral", "neutral"

    name = models.CharField(max_length=80)
    look = models.CharField(max_length=160, blank=True, help_text="surface and colour in words")
    cone = models.CharField(max_length=4, help_text="6 and 06 are different cones")
    atmosphere = models.CharField(max_length=12, choices=Atmosphere.choices, default=Atmosphere.OXIDATION)
    colour = models.CharField(max_length=7, default="#8a8f86", help_text="for the dip stick: #rrggbb")
    note = models.TextField(blank=True, help_text="what a member must know: runs, thin coats only …")
    settles_min = QuantityField(places=1, null=True, blank=True)
    state = models.CharField(max_length=12, choices=State.choices, default=State.CURRENT)
    current = models.ForeignKey(
        "recipes.Version",
        models.PROTECT,
        null=True,
        blank=True,
        related_name="+",
        help_text="the approved version that new batches use",
    )

    class Meta:
        ordering = ["name"]
        constraints = [models.UniqueConstraint(Lower("name"), name="recipe_name_once")]

    def __str__(self) -> str:
        return self.name


class Version(models.Model):
    """One version of a recipe: its lines never change. Draft, then approved by another person."""

    class State(models.TextChoices):
        DRAFT = "draft", "draft"
        APPROVED = "approved", "approved"
        WITHDRAWN = "withdrawn", "withdrawn"

    class TypedAs(models.TextChoices):
        PERCENT = "percent", "percent"
        PARTS = "parts", "parts"
        GRAMS = "grams", "grams"

    recipe = models.ForeignKey(Recipe, models.PROTECT, related_name="versions")
    number = models.PositiveIntegerField()
    state = models.CharField(max_length=10, choices=State.choices, default=State.DRAFT)
    typed_as = models.CharField(max_length=10, choices=TypedAs.choices, default=TypedAs.PERCENT)
    target_sg = sg_field()
    half_window = sg_field(default="0.02")
    sieve_mesh = models.PositiveIntegerField(null=True, blank=True)
    particle_density = QuantityField(places=3, help_text="g/mL, harmonic mean over all lines")
    soluble = models.BooleanField(default=False, help_text="contains a material that dissolves")
    reason = models.CharField(max_length=200, blank=True, help_text="why this version")
    made_by = models.ForeignKey("people.Member", models.PROTECT, related_name="+")
    made_at = models.DateTimeField(default=timezone.now)
    decided_by = models.ForeignKey("people.Member", models.PROTECT, null=True, blank=True, related_name="+")
    decided_at = models.DateTimeField(null=True, blank=True)

    class Meta:
        ordering = ["recipe", "-number"]
        constraints = [models.UniqueConstraint(fields=["recipe", "number"], name="version_number_once")]

    def __str__(self) -> str:
        return f"{self.recipe.name}, version {self.number}"


class Line(models.Model):
    """One line as it stood in the notebook: base sums for itself, additions come on top."""

    append_only = True  # a version is changed by making another; the database refuses anything else

    class Kind(models.TextChoices):
        BASE = "base", "base"
        ADDITION = "addition", "addition"

    version = models.ForeignKey(Version, models.CASCADE, related_name="lines")
    position = models.PositiveSmallIntegerField()
    kind = models.CharField(max_length=10, choices=Kind.choices, default=Kind.BASE)
    material = models.ForeignKey("materials.Material", models.PROTECT, related_name="recipe_lines")
    typed_name = models.CharField(max_length=80, help_text="the name as it was typed")
    parts = QuantityField(places=4)
    typed = models.CharField(max_length=40, help_text="the amount as it was typed")

    class Meta:
        ordering = ["position"]
        constraints = [models.UniqueConstraint(fields=["version", "position"], name="line_position_once")]
