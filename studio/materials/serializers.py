"""Rows of the store as programs read them."""

from rest_framework import serializers

from studio.materials.models import Lot, Material, Movement
from studio.room.serializers import amount


class MaterialOut(serializers.ModelSerializer):
    """A material; balances are kept beside the ledger. What is usable stands at its lots."""

    density = amount("g/mL of its particles")
    owned_g = amount("g over all lots, quarantine included")
    reserved_g = amount("g promised to batches")
    value = amount("studio currency, moving average", places=4)
    aliases = serializers.SlugRelatedField("name", many=True, read_only=True, help_text="its other names")

    class Meta:
        model = Material
        fields = (
            "id",
            "name",
            "aliases",
            "role",
            "density",
            "density_source",
            "soluble",
            "hazard_words",
            "state",
            "owned_g",
            "reserved_g",
            "value",
        )


class StandingOut(serializers.Serializer):
    """How one material stands."""

    material = serializers.IntegerField()
    usable_g = amount("g in released lots")
    reserved_g = amount("g promised to batches")
    available_g = amount("g usable less promised; below 0 when short")
    quarantine_g = amount("g in lots not yet released")


class LotOut(serializers.ModelSerializer):
    """One delivery of a material."""

    on_hand_g = amount("g")
    price_per_kg = amount("studio currency per kg", places=4)

    class Meta:
        model = Lot
        fields = (
            "id",
            "code",
            "material",
            "state",
            "on_hand_g",
            "price_per_kg",
            "supplier",
            "supplier_lot",
            "received_on",
            "note",
        )


class MovementOut(serializers.ModelSerializer):
    """One line of the ledger."""

    mass_g = amount("g, plus into the lot, minus out of it")
    cost = amount("studio currency, same sign as the mass", places=4)
    on_hand_after_g = amount("g in the lot after it")

    class Meta:
        model = Movement
        fields = (
            "id",
            "material",
            "lot",
            "kind",
            "mass_g",
            "cost",
            "on_hand_after_g",
            "what",
            "reason",
            "reverses",
            "by",
            "at",
            "entered_at",
        )
