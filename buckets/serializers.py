"""What the API says of fills and of what was done to them. Amounts with their units in the help texts."""

from typing import Any

from django.utils import timezone
from drf_spectacular.utils import extend_schema_field
from rest_framework import serializers

from buckets.answers import answer_of
from buckets.models import Care, Fill, Parent, Reading, Report, Use
from buckets.queries import dip_check_of
from studio.room import policy


def _decimal(places: int, said: str, **kwargs: Any) -> serializers.DecimalField:
    return serializers.DecimalField(max_digits=19, decimal_places=places, help_text=said, **kwargs)


class DipCheckOut(serializers.Serializer):
    """May I dip now? Computed when it is asked for."""

    answer = serializers.ChoiceField(["dip", "stir first", "measure first", "do not use"])
    sentence = serializers.CharField(help_text="the reason in one sentence")
    reasons = serializers.ListField(child=serializers.CharField(), help_text="codes, the deciding one first")
    holds_until = serializers.DateTimeField(allow_null=True, help_text="until when a dip or stir first holds")


class ReadingOut(serializers.ModelSerializer):
    """A reading. ``replaces`` names the one a row without sg takes back."""

    sg = _decimal(4, "specific gravity, no unit; null when only the level was read", allow_null=True)
    u_sg = _decimal(5, "standard uncertainty of sg, no unit; null: not known", allow_null=True)
    gross_g = _decimal(3, "g, glass filled to the mark", allow_null=True)
    tare_g = _decimal(3, "g, glass empty", allow_null=True)
    temperature_c = _decimal(1, "degrees Celsius", allow_null=True)
    depth_cm = _decimal(3, "cm on the stick", allow_null=True)
    volume_l = _decimal(3, "L in the bucket", allow_null=True)

    class Meta:
        model = Reading
        fields = [
            "id",
            "fill",
            "sg",
            "u_sg",
            "method",
            "gross_g",
            "tare_g",
            "glass",
            "scale",
            "temperature_c",
            "depth_cm",
            "volume_l",
            "is_check",
            "note",
            "raw",
            "replaces",
            "by",
            "at",
        ]


class CareOut(serializers.ModelSerializer):
    """What was done to a fill; ``reverses`` names the entry this one takes back."""

    volume_l = _decimal(3, "L of water", allow_null=True)

    class Meta:
        model = Care
        fields = ["id", "fill", "kind", "volume_l", "note", "raw", "reverses", "by", "at"]


class UseOut(serializers.ModelSerializer):
    """Glaze taken out; ``reverses`` names the entry this one takes back."""

    volume_l = _decimal(3, "L of glaze")

    class Meta:
        model = Use
        fields = ["id", "fill", "volume_l", "pieces", "raw", "reverses", "by", "at"]


class ReportOut(serializers.ModelSerializer):
    """Something was wrong with it; ``by`` is null for a stranger."""

    class Meta:
        model = Report
        fields = ["id", "fill", "words", "by", "at", "answered_by", "answered_at", "answer"]


class ParentOut(serializers.ModelSerializer):
    """Where a fill came from; neither batch nor fill: found, history unknown."""

    dry_g = _decimal(3, "g of dry glaze from it", allow_null=True)
    dry_share = _decimal(6, "share of the dry mass, 0 to 1", allow_null=True)

    class Meta:
        model = Parent
        fields = ["batch", "parent_fill", "version", "dry_g", "dry_share"]


class FillOut(serializers.ModelSerializer):
    """What is in a bucket, or was. ``dip_check`` answers for this moment."""

    vessel = serializers.CharField(source="vessel.code", help_text="code of the bucket")
    target_sg = _decimal(4, "specific gravity, no unit", allow_null=True)
    half_window = _decimal(4, "± around target_sg, no unit", allow_null=True)
    particle_density = _decimal(3, "g/mL of the powder", allow_null=True)
    settles_min = _decimal(1, "minutes; null: the studio's rule", allow_null=True)
    volume_l = _decimal(3, "L in it, by the last level, water and use since")
    sg = serializers.SerializerMethodField(help_text="of the technician's last reading; null: none")
    dip_check = serializers.SerializerMethodField()

    class Meta:
        model = Fill
        fields = [
            "id",
            "number",
            "vessel",
            "glaze",
            "look",
            "cone",
            "atmosphere",
            "colour",
            "recipe",
            "version",
            "target_sg",
            "half_window",
            "particle_density",
            "settles_min",
            "soluble",
            "contents",
            "history_unknown",
            "state",
            "held_at",
            "held_reason",
            "poured_at",
            "emptied_at",
            "emptied_why",
            "volume_l",
            "sg",
            "check_reading",
            "member_reading",
            "stirred_at",
            "stirred_by",
            "dip_check",
        ]

    @extend_schema_field(serializers.CharField(allow_null=True))
    def get_sg(self, fill: Fill) -> str | None:
        reading = fill.check_reading
        return None if reading is None else str(reading.sg)

    @extend_schema_field(DipCheckOut)
    def get_dip_check(self, fill: Fill) -> dict[str, Any]:
        rules = self.context.get("rules") or policy.in_force()
        now = timezone.now()
        check = dip_check_of(fill, now, rules)
        return DipCheckOut(
            {
                "answer": check.answer,
                "sentence": answer_of(fill, check, now, rules).sentence,
                "reasons": [reason.code for reason in check.reasons],
                "holds_until": check.holds_until,
            }
        ).data


class FillWithParents(FillOut):
    """One fill with its parents."""

    parents = ParentOut(many=True)

    class Meta(FillOut.Meta):
        fields = [*FillOut.Meta.fields, "parents"]
