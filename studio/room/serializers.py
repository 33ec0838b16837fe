"""Rows of the room as programs read them. Amounts are text with all their places, units in the name."""

from typing import Any

from drf_spectacular.utils import extend_schema_field
from rest_framework import serializers

from studio.api_kit import RowOut, amount
from studio.room.models import Glass, PolicyChange, Scale, Vessel
from studio.room.policy import WORDS


class VesselOut(RowOut):
    """A bucket as a thing of the room; what is in it is a fill."""

    bottom_cm = amount("cm, inner diameter at the floor")
    top_cm = amount("cm, inner diameter at the brim")
    height_cm = amount("cm, inner height")
    offset_l = amount("L, measured less reckoned at the same depth")
    empty_g = amount("g, empty, without lid")
    brim_l = serializers.SerializerMethodField(help_text="L to the brim, reckoned")

    class Meta:
        model = Vessel
        fields = (
            "id", "code", "bottom_cm", "top_cm", "height_cm", "offset_l", "empty_g", "brim_l", "place",
            "state",
        )  # fmt: skip

    @extend_schema_field(serializers.FloatField())
    def get_brim_l(self, vessel: Vessel) -> float:
        return round(vessel.brim_l(), 3)


class LitresOut(serializers.Serializer):
    """What a bucket takes, and what a depth on the stick means in it."""

    brim_l = serializers.FloatField(help_text="L to the brim")
    limit_l = serializers.FloatField(help_text="L up to the studio's fill limit")
    limit_pct = serializers.FloatField(help_text="% of the brim, the fill limit")
    at_depth_l = serializers.FloatField(help_text="L at the depth asked for", allow_null=True)


class ScaleOut(RowOut):
    """A scale; one with retired_at is not planned with."""

    division_g = amount("g, the smallest step it shows")
    capacity_g = amount("g, the most it weighs")

    class Meta:
        model = Scale
        fields = ("id", "name", "division_g", "capacity_g", "retired_at")


class GlassOut(RowOut):
    """A flask or cylinder; one with retired_at is not offered for readings."""

    volume_ml = amount("mL")
    tolerance_ml = amount("mL, plus or minus")
    empty_g = amount("g, clean and dry", allow_null=True)

    class Meta:
        model = Glass
        fields = ("id", "name", "kind", "volume_ml", "tolerance_ml", "empty_g", "calibrated_at", "retired_at")


class RuleOut(serializers.Serializer):
    """One of the studio's rules in force."""

    name = serializers.CharField()
    says = serializers.CharField()
    unit = serializers.CharField(help_text="empty for a rule without one")
    value = amount("in the rule's own unit; a switch is 1 or 0", places=4)


class RulesOut(serializers.Serializer):
    """Every rule, always in one page."""

    next = serializers.CharField(allow_null=True, help_text="null")
    previous = serializers.CharField(allow_null=True, help_text="null")
    results = RuleOut(many=True)


class PolicyChangeOut(RowOut):
    """One change of one rule; the newest of a name is in force."""

    value = amount("in the unit of the rule", places=4)
    unit = serializers.SerializerMethodField(help_text="empty for a rule without one")

    class Meta:
        model = PolicyChange
        fields = ("id", "name", "value", "unit", "by", "at")

    @extend_schema_field(serializers.CharField())
    def get_unit(self, change: PolicyChange) -> str:
        return WORDS[change.name][1] if change.name in WORDS else ""


def _gravity(said: str, **kwargs: Any) -> serializers.FloatField:
    return serializers.FloatField(help_text=f"specific gravity, no unit: {said}", **kwargs)


class VerdictOut(serializers.Serializer):
    """What a reading says about the window around a target, its uncertainty considered."""

    word = serializers.ChoiceField(["inside", "outside", "undecided"])
    difference = _gravity("reading less target")
    u_expanded = _gravity("twice the standard uncertainty", source="U")
    accept_within = _gravity("inside up to this difference")
    reject_beyond = _gravity("outside from this difference on")
    p_inside = serializers.FloatField(help_text="0 to 1: the chance that the true value is in the window")


def verdict_out(verdict: Any) -> Any:
    """A verdict written down; None stays None."""
    return None if verdict is None else VerdictOut(verdict).data
