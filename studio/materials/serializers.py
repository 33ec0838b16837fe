"""Rows of the store as programs read them."""

from rest_framework import serializers

from studio.api_kit import RowOut, amount
from studio.materials.models import Lot, Material, Movement


class MaterialOut(RowOut):
    """A material; balances are kept beside the ledger. What is usable stands at its lots."""

    density = amount("g/mL of its particles")
    owned_g = amount("g over all lots, quarantine included")
    reserved_g = amount("g promised to batches")
    value = amount("studio currency, moving average", places=4)
    aliases = serializers.SlugRelatedField("name", many=True, read_only=True, help_text="its other names")

    class Meta:
        model = Material
        fields = (
            "id", "name", "aliases", "role", "density", "density_source", "soluble", "hazard_words", "state",
            "owned_g", "reserved_g", "value",
        )  # fmt: skip


class StandingOut(serializers.Serializer):
    """How one material stands."""

    material = serializers.IntegerField()
    usable_g = amount("g in released lots")
    reserved_g = amount("g promised to batches")
    available_g = amount("g usable less promised; below 0 when short")
    quarantine_g = amount("g in lots not yet released")


class DensityOut(serializers.Serializer):
    """What the reference table knows of a name; null where it knows nothing."""

    density = amount("g/mL of its particles", allow_null=True)
    source = serializers.CharField(allow_null=True)


class LotOut(RowOut):
    """One delivery of a material."""

    on_hand_g = amount("g")
    price_per_kg = amount("studio currency per kg", places=4)

    class Meta:
        model = Lot
        fields = (
            "id", "code", "material", "state", "on_hand_g", "price_per_kg", "supplier", "supplier_lot",
            "received_on", "note",
        )  # fmt: skip


class MovementOut(RowOut):
    """One line of the ledger."""

    mass_g = amount("g, plus into the lot, minus out of it")
    cost = amount("studio currency, same sign as the mass", places=4)
    on_hand_after_g = amount("g in the lot after it")

    class Meta:
        model = Movement
        fields = (
            "id", "material", "lot", "kind", "mass_g", "cost", "on_hand_after_g", "what", "reason",
            "reverses", "by", "at", "entered_at",
        )  # fmt: skip
