"""Requests, batches and what is recorded of them, as programs read them."""

from typing import Any

from drf_spectacular.utils import extend_schema_field
from rest_framework import serializers

from batches.models import Batch, Line, Request, Step, Weighing
from studio.api_kit import RowOut, amount
from studio.room.measuring import verdict_of
from studio.room.serializers import VerdictOut, verdict_out


class RequestOut(RowOut):
    """A wish for glaze, as it was worked out when it was asked."""

    recipe = serializers.CharField(source="version.recipe.name")
    version_number = serializers.IntegerField(source="version.number")
    vessel = serializers.CharField(source="vessel.code", default=None, allow_null=True)
    batch = serializers.CharField(source="batch.number", default=None, allow_null=True)
    base_g = amount("g of the dry glaze that is base")
    water_l = amount("L of water")
    to_sg = amount("specific gravity to make it to, no unit", places=4)

    class Meta:
        model = Request
        fields = [
            "number", "state", "wish", "recipe", "version", "version_number", "dry_g", "base_g", "water_l",
            "to_volume_l", "to_sg", "vessel", "old_volume_l", "old_sg", "why", "wanted_on", "by", "at",
            "decided_by", "decided_at", "reason", "batch",
        ]  # fmt: skip


class BatchLineOut(RowOut):
    """One line of a batch."""

    material_name = serializers.CharField(source="name", help_text="as it was when the batch was planned")
    scale = serializers.CharField(source="scale.name", default=None, allow_null=True)
    band_g = amount("g, ± around target_g within which it is accepted")
    missing_g = amount("g still missing to the target; below 0: over it")

    class Meta:
        model = Line
        fields = [
            "position", "kind", "material", "material_name", "hazard_words", "share_pct", "target_g",
            "band_g", "scale", "loads", "weighed_g", "missing_g", "done_at",
        ]  # fmt: skip


class BatchOut(RowOut):
    """A batch with its lines."""

    recipe = serializers.CharField(source="copy.name")
    version = serializers.IntegerField(source="copy.version")
    vessel = serializers.CharField(source="vessel.code", default=None, allow_null=True)
    request = serializers.IntegerField(source="request.number", default=None, allow_null=True)
    lines = BatchLineOut(many=True)

    class Meta:
        model = Batch
        fields = [
            "number", "recipe", "version", "vessel", "request", "state", "held_at", "held_reason",
            "frozen_at", "base_g", "dry_g", "water_l", "first_water_l", "to_volume_l", "to_sg", "half_window",
            "particle_density", "old_volume_l", "old_sg", "lines",
        ]  # fmt: skip


class StepOut(RowOut):
    """A wet step: water, sieve, reading or gross weight; reverses names the one a row takes back."""

    batch = serializers.CharField(source="batch.number")
    verdict = serializers.SerializerMethodField(help_text="of a reading around the batch's target")
    gross_g = amount("g, the bucket with everything in it", allow_null=True)

    class Meta:
        model = Step
        fields = [
            "id", "batch", "kind", "water_l", "mesh", "depth_cm", "volume_l", "sg", "u_sg", "verdict",
            "gross_g", "note", "reverses", "by", "at",
        ]  # fmt: skip

    @extend_schema_field(VerdictOut(allow_null=True))
    def get_verdict(self, step: Step) -> Any:
        if step.sg is None:
            return None
        batch = step.batch
        return verdict_out(
            verdict_of(sg=step.sg, u_sg=step.u_sg, target=batch.to_sg, half_window=batch.half_window)
        )


class WeighingOut(RowOut):
    """One pot of powder from one lot; reverses names the one a row takes back."""

    batch = serializers.CharField(source="line.batch.number")
    line = serializers.IntegerField(source="line.position")
    lot = serializers.CharField(source="lot.code")
    net_g = amount("g, without the pot")

    class Meta:
        model = Weighing
        fields = ["id", "batch", "line", "lot", "net_g", "reverses", "by", "at"]


class WaterToTargetOut(serializers.Serializer):
    """What the last reading asks for."""

    water_l = amount("L of water in all")
    first_l = amount("L of it first, then measure again")
    after_first_sg = amount("specific gravity after the first part, no unit", places=4)
    volume_l = amount("L afterwards", places=2)


class BatchStandingOut(serializers.Serializer):
    """How far a batch has come, old glaze of the bucket included. null: not known yet."""

    weighed_g = amount("g of powder in it")
    water_l = amount("L of water in it")
    slurry_g = amount("g in all, by what went in")
    volume_l = amount("L, by what went in", allow_null=True)
    sg = amount("specific gravity, by what went in, no unit", places=4, allow_null=True)
    gross_g = amount("g it should weigh, bucket and all", allow_null=True)
    weighed_gross_g = amount("g the scale said last", allow_null=True)
    yield_pct = amount("% of what went in, by mass", places=1, allow_null=True)
    reading = StepOut(allow_null=True, help_text="the last reading")
    reading_volume_l = amount("L at the last reading", allow_null=True)
    residual_sg = amount(
        "specific gravity: reading less what was expected, no unit", places=4, allow_null=True
    )
    to_target = WaterToTargetOut(allow_null=True)


class PlanLineOut(serializers.Serializer):
    """One line to weigh."""

    position = serializers.IntegerField()
    kind = serializers.CharField(help_text="base or addition")
    material = serializers.IntegerField(source="material_id")
    material_name = serializers.CharField(source="name")
    pct_of_base = amount("% of the base", places=4)
    share_pct = amount("% of the whole dry recipe", places=4)
    target_g = amount("g to weigh")
    band_g = amount("g, ± within which it is accepted")
    scale = serializers.CharField(source="scale_name", help_text="empty: the room has no scale")
    loads = serializers.IntegerField()
    too_light = serializers.BooleanField(help_text="under the smallest sensible weight of every scale")
    hazard_words = serializers.CharField(help_text="the studio's own note of it; nothing is classified by it")


class StockOut(serializers.Serializer):
    """How a material stands."""

    material = serializers.IntegerField(source="material_id")
    material_name = serializers.CharField(source="name")
    need_g = amount("g needed over all lines")
    available_g = amount("g in released lots and not promised")
    short_g = amount("g missing; 0: enough")
    words = serializers.CharField()


class PlanOut(serializers.Serializer):
    """What a wish comes to."""

    total_pct = amount("% of the base, additions included", places=4)
    base_g = amount("g of base, the sum of its lines")
    dry_g = amount("g of dry glaze in all, the sum of the lines")
    exact_dry_g = amount("g of dry glaze before rounding to the scales", places=4)
    rounding_g = amount("g: dry_g less exact_dry_g", places=4)
    water_l = amount("L of water")
    first_water_l = amount("L of it before any powder")
    kept_water_l = amount("L of it kept back")
    to_volume_l = amount("L afterwards")
    to_sg = amount("specific gravity afterwards, no unit", places=4)
    old_volume_l = amount("L in the bucket before")
    old_sg = amount("specific gravity of that, no unit", places=4, allow_null=True)
    min_volume_l = amount("L, the least the bucket can be brought to", allow_null=True)
    thin_water_l = amount("L of water that would thin it without powder", allow_null=True)
    thin_volume_l = amount("L it would then be", allow_null=True)
    slurry_kg = amount("kg of glaze afterwards")
    gross_kg = amount("kg with the bucket", allow_null=True)
    first_gross_kg = amount("kg with the bucket after powder and first water", allow_null=True)
    fill_pct = amount("% of the brim", places=1, allow_null=True)
    limit_l = amount("L up to the fill limit", allow_null=True)
    heavy = serializers.BooleanField(help_text="over 15 kg: lift it with two")
    cost = amount("studio currency, at moving average", places=4)
    cost_per_l = amount("studio currency for a litre that the powder makes", places=4, allow_null=True)
    lines = PlanLineOut(many=True)
    stock = StockOut(many=True)
