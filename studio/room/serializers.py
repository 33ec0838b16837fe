"""Rows of the room as programs read them. Amounts are text with all their places, units in the name."""

from typing import Any

from drf_spectacular.utils import extend_schema_field
from rest_framework import serializers

from studio.room.models import Glass, PolicyChange, Scale, Vessel
from studio.room.policy import WORDS


def amount(help_text: str, places: int = 3, **kwargs: Any) -> serializers.DecimalField:
    """An exact amount; 19 digits hold all that the database does."""
    return serializers.DecimalField(max_digits=19, decimal_places=places, help_text=help_text, **kwargs)


class VesselOut(serializers.ModelSerializer):
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
            "id",
            "code",
            "bottom_cm",
            "top_cm",
            "height_cm",
            "offset_l",
            "empty_g",
            "brim_l",
            "place",
            "state",
        )

    @extend_schema_field(serializers.FloatField())
    def get_brim_l(self, vessel: Vessel) -> float:
        return round(vessel.brim_l(), 3)


class ScaleOut(serializers.ModelSerializer):
    """A scale; one with ``retired_at`` is not planned with."""

    division_g = amount("g, the smallest step it shows")
    capacity_g = amount("g, the most it weighs")

    class Meta:
        model = Scale
        fields = ("id", "name", "division_g", "capacity_g", "retired_at")


class GlassOut(serializers.ModelSerializer):
    """A flask or cylinder; one with ``retired_at`` is not offered for readings."""

    volume_ml = amount("mL")
    tolerance_ml = amount("mL, plus or minus")
    empty_g = amount("g, clean and dry", allow_null=True)

    class Meta:
        model = Glass
        fields = ("id", "name", "kind", "volume_ml", "tolerance_ml", "empty_g", "retired_at")


class RuleOut(serializers.Serializer):
    """One of the studio's rules in force."""

    name = serializers.CharField()
    says = serializers.CharField()
    unit = serializers.CharField(help_text="empty for a rule without one")
    value = serializers.DecimalField(max_digits=19, decimal_places=4)


class PolicyChangeOut(serializers.ModelSerializer):
    """One change of one rule."""

    unit = serializers.SerializerMethodField()

    class Meta:
        model = PolicyChange
        fields = ("id", "name", "value", "unit", "by", "at")

    @extend_schema_field(serializers.CharField())
    def get_unit(self, change: PolicyChange) -> str:
        return WORDS[change.name][1] if change.name in WORDS else ""
