"""What the API says of fills and of what was done to them. Amounts with their units in the help texts."""

from typing import Any

from django.utils import timezone
from drf_spectacular.utils import extend_schema_field
from rest_framework import serializers

from buckets.answers import answer_of
from buckets.models import Care, Fill, Parent, Reading, Use, WriteOff
from buckets.queries import dip_check_of
from studio.api_kit import RowOut, amount
from studio.room import policy
from studio.room.measuring import verdict_of
from studio.room.serializers import VerdictOut, verdict_out


class DipCheckOut(serializers.Serializer):
    """May I dip now? Computed when it is asked for."""

    answer = serializers.ChoiceField(["dip", "stir first", "measure first", "do not use"])
    sentence = serializers.CharField(help_text="the reason in one sentence")
    reasons = serializers.ListField(child=serializers.CharField(), help_text="codes, the deciding one first")
    holds_until = serializers.DateTimeField(allow_null=True, help_text="until when a dip or stir first holds")
    age_h = serializers.FloatField(allow_null=True, help_text="hours: age of the reading it rests on")
    verdict = VerdictOut(allow_null=True, help_text="of that reading, where there is a window")


class ToTargetOut(serializers.Serializer):
    """What brings a fill from its newest reading to its target. null: that way is not open or not known."""

    way = serializers.ChoiceField(["thin", "thicken", "at target", "not known"])
    from_l = amount("L in it now", allow_null=True)
    from_sg = amount("specific gravity as read, no unit", places=4, allow_null=True)
    to_sg = amount("specific gravity, the target, no unit", places=4, allow_null=True)
    water_l = amount("L of water in all", allow_null=True)
    first_l = amount("L of it first, then measure again", allow_null=True)
    after_first_sg = amount("specific gravity after the first part, no unit", places=4, allow_null=True)
    volume_l = amount("L afterwards", allow_null=True)
    powder_g = amount("g of the dry recipe to thicken it", places=0, allow_null=True)
    powder_volume_l = amount("L it would then be", allow_null=True)
    leaves_l = amount("L of water to lose by standing open", allow_null=True)
    left_l = amount("L that would be left", allow_null=True)
    may_decant = serializers.BooleanField(help_text="whether clear water may be taken off instead")
    clear_l = amount("L that will about stand clear after a night", allow_null=True)
    dissolved_share = amount(
        "0 to 1, of all that is dissolved: goes with that water", places=4, allow_null=True
    )
    changed_at = serializers.DateTimeField(
        allow_null=True, help_text="something went in or off after the reading: measure again first"
    )


class ReadingOut(RowOut):
    """A reading; replaces names the one that a row without sg takes back."""

    gross_g = amount("g, glass filled to the mark", allow_null=True)
    tare_g = amount("g, glass empty", allow_null=True)
    water_g = amount("g, the same vessel filled with water", allow_null=True)
    as_read = amount("what the instrument said, in the unit of method", places=4, allow_null=True)
    modulus = amount("of the Baumé scale, no unit", places=2, allow_null=True)
    depth_cm = amount("cm on the stick", allow_null=True)
    bucket_g = amount("g, the bucket weighed with what is in it", allow_null=True)
    verdict = serializers.SerializerMethodField(help_text="around the fill's target; null without a window")

    class Meta:
        model = Reading
        fields = [
            "id", "fill", "sg", "u_sg", "verdict", "method", "as_read", "modulus", "gross_g", "tare_g",
            "water_g", "glass", "scale", "hydrometer", "temperature_c", "depth_cm", "bucket_g", "volume_l",
            "repeats", "is_check", "note", "raw", "replaces", "by", "at",
        ]  # fmt: skip

    @extend_schema_field(VerdictOut(allow_null=True))
    def get_verdict(self, reading: Reading) -> Any:
        if reading.sg is None:
            return None
        fill = reading.fill
        return verdict_out(
            verdict_of(sg=reading.sg, u_sg=reading.u_sg, target=fill.target_sg, half_window=fill.half_window)
        )


class CareOut(RowOut):
    """What was done to a fill; reverses names the entry this one takes back."""

    volume_l = amount("L as told: water, stock solution, slurry", allow_null=True)
    mass_g = amount("g as told: powder, additive, what stayed on a sieve", allow_null=True)
    change_l = amount("L more in the bucket; negative: less", allow_null=True)
    change_g = amount("g more in the bucket; negative: less", allow_null=True)
    dose_pct = amount("% of the dry glaze", places=4, allow_null=True)
    stock_g_per_l = amount("g in a litre of the stock solution", places=2, allow_null=True)

    class Meta:
        model = Care
        fields = [
            "id", "fill", "kind", "volume_l", "mass_g", "change_l", "change_g", "additive", "dose_pct",
            "stock_g_per_l", "how", "note", "raw", "part_of", "reverses", "by", "at",
        ]  # fmt: skip


class UseOut(RowOut):
    """Glaze taken out; reverses names the entry this one takes back."""

    volume_l = amount("L of glaze")

    class Meta:
        model = Use
        fields = ["id", "fill", "volume_l", "pieces", "raw", "reverses", "by", "at"]


class ParentOut(RowOut):
    """Where a fill came from; neither batch nor fill: found, history unknown."""

    batch = serializers.CharField(source="batch.number", default=None, allow_null=True)
    dry_g = amount("g of dry glaze from it", allow_null=True)
    dry_share = amount("0 to 1, share of the dry mass", places=6, allow_null=True)

    class Meta:
        model = Parent
        fields = ["batch", "parent_fill", "version", "dry_g", "dry_share"]


class ContentOut(serializers.Serializer):
    """One material in a fill."""

    material = serializers.CharField()
    words = serializers.CharField(help_text="the studio's own note of it; nothing is classified by it")


class MadeOfOut(serializers.Serializer):
    """One recipe version in a fill."""

    version = serializers.IntegerField(allow_null=True, help_text="number of its row; null: found")
    name = serializers.CharField()
    share = serializers.CharField(help_text="0 to 1, of the dry mass; all of them add up to 1")


class FillOut(RowOut):
    """What is in a bucket, or was. dip_check answers for this moment."""

    vessel = serializers.CharField(source="vessel.code", help_text="code of the bucket")
    half_window = amount("specific gravity, ± around target_sg, no unit", places=4, allow_null=True)
    particle_density = amount("g/mL of the powder", allow_null=True)
    settles_min = amount("minutes; null: the studio's rule", places=1, allow_null=True)
    contents = ContentOut(many=True)
    volume_l = amount("L in it, by the last level, water and use since")
    made_of = MadeOfOut(many=True, help_text="recipe versions by dry mass, as poured; empty: not kept")
    sg = serializers.SerializerMethodField(help_text="of the technician's last reading; null: none")
    dip_check = serializers.SerializerMethodField()

    class Meta:
        model = Fill
        fields = [
            "id", "number", "vessel", "glaze", "look", "cone", "atmosphere", "colour", "recipe", "version",
            "target_sg", "half_window", "particle_density", "settles_min", "soluble", "reclaim", "contents",
            "history_unknown", "made_of", "predicted_sg", "released_at", "tile_due",
            "state", "held_at", "held_reason", "poured_at", "emptied_at", "emptied_why",
            "volume_l", "sg", "check_reading", "member_reading", "stirred_at", "stirred_by", "dip_check",
        ]  # fmt: skip

    @extend_schema_field(serializers.CharField(allow_null=True))
    def get_sg(self, fill: Fill) -> str | None:
        reading = fill.check_reading
        return None if reading is None else str(reading.sg)

    @extend_schema_field(DipCheckOut)
    def get_dip_check(self, fill: Fill) -> dict[str, Any]:
        return DipCheckOut(dip_check_out(fill, self.context.get("rules") or policy.in_force())).data


class LeftOut(serializers.Serializer):
    """What a fill holds, and what that is worth at the cost of its powders. null: not known."""

    volume_l = amount("L")
    dry_g = amount("g of dry glaze", allow_null=True)
    value = amount("studio currency, what that is worth", places=4, allow_null=True)
    known_share = amount("0 to 1, of the dry glaze, that its cost is known for", places=4)


class WriteOffOut(LeftOut, RowOut):
    """What a fill held when it was emptied, and where that went."""

    class Meta:
        model = WriteOff
        fields = ["went", "volume_l", "dry_g", "value", "known_share", "by", "at"]


class FillWithParents(FillOut):
    """One fill with its parents, and with what was written off when it was emptied."""

    parents = ParentOut(many=True)
    write_off = serializers.SerializerMethodField(
        help_text="null: it is in its bucket, or held nothing known"
    )

    class Meta(FillOut.Meta):
        fields = [*FillOut.Meta.fields, "parents", "write_off"]

    @extend_schema_field(WriteOffOut(allow_null=True))
    def get_write_off(self, fill: Fill) -> Any:
        row = getattr(fill, "write_off", None)
        return None if row is None else WriteOffOut(row).data


def dip_check_out(fill: Fill, rules: policy.Policy) -> dict[str, Any]:
    """The dip check of a fill at this moment, for ``DipCheckOut``."""
    now = timezone.now()
    check = dip_check_of(fill, now, rules)
    return {
        "answer": check.answer,
        "sentence": answer_of(fill, check, now, rules).sentence,
        "reasons": [reason.code for reason in check.reasons],
        "holds_until": check.holds_until,
        "age_h": None if check.age_s is None else round(check.age_s / 3600, 3),
        "verdict": check.verdict,
    }
