"""Tiles, and the seconds for a coat, for programs."""

from typing import Any

from django.shortcuts import get_object_or_404
from django.urls import URLPattern, path
from rest_framework import serializers

from buckets.api.lists import OfFill
from buckets.api.on import FILL, on_fill, on_row
from buckets.coating import with_tile
from buckets.forms.coating import CoatsForm, TakeBackTileForm, TileForm
from buckets.models import Fill, Tile
from buckets.operations.coating import record_tile, take_back_tile
from buckets.queries import with_standing
from buckets.views.coating import asked_of
from buckets.walls import Told, told
from studio.api_kit import One, Question, RowOut, amount
from studio.people.doors import needs
from studio.people.rights import SEE, WET
from studio.room import policy


class TileOut(RowOut):
    """A tile dipped and weighed; reverses names the one this one takes back."""

    seconds = amount("seconds in the glaze", places=1)
    area_cm2 = amount("cm², glazed", places=1, allow_null=True)
    dry_g = amount("g of dry glaze on it", allow_null=True)
    coat_g_per_cm2 = amount("g/cm², dry", places=4)
    seconds_2 = amount("seconds, the second tile", places=1, allow_null=True)
    coat_2_g_per_cm2 = amount("g/cm², the second tile", places=4, allow_null=True)
    target_g_per_cm2 = amount("g/cm², the coat this glaze wants", places=4, allow_null=True)

    class Meta:
        model = Tile
        fields = [
            "id", "fill", "body", "sg", "seconds", "area_cm2", "dry_g", "coat_g_per_cm2", "seconds_2",
            "coat_2_g_per_cm2", "target_g_per_cm2", "note", "raw", "reverses", "by", "at",
        ]  # fmt: skip


def _told(said: str, **kwargs: Any) -> serializers.FloatField:
    return serializers.FloatField(help_text=said, allow_null=True, **kwargs)


class WallOut(serializers.Serializer):
    """What one glazed face has to say. Hours are lower bounds; null without a drying rate."""

    capacity_ml_per_cm2 = serializers.FloatField(
        source="capacity.capacity_ml_per_cm2", help_text="mL/cm² the dry face takes"
    )
    verdict = serializers.ChoiceField(
        ["takes_and_dries", "builds_stays_damp", "will_not_build", "uncertain"], source="next.verdict"
    )
    build_ratio = serializers.FloatField(source="next.ratio_build", help_text="no unit, room over filtrate")
    dry_ratio = serializers.FloatField(source="next.ratio_dry", help_text="no unit, room over all its water")
    largest_coat_g_per_cm2 = serializers.FloatField(
        source="next.largest_coat_g_per_cm2", help_text="g/cm² that would form now"
    )
    damp_h = _told("hours that the coat that is on, or this one when nothing is, stays damp from now")
    least_wait_h = _told("hours before the next coat, at the very least", source="least_h")
    advised_wait_h = _told("hours before the next coat, with 30 % margin", source="advised_h")
    no_wait_helps = serializers.BooleanField(
        source="too_small", help_text="even dried through the wall has no room for it"
    )


class DipTimeOut(serializers.Serializer):
    """About how long to dip, and whether the wall takes it. Touch test first."""

    why_not = serializers.CharField(help_text="why the seconds are not known; empty when they are")
    tile = serializers.IntegerField(allow_null=True, help_text="the tile it rests on")
    sg = _told("specific gravity, no unit, that the seconds are for")
    coat_g_per_cm2 = _told("g/cm² dry that they give")
    seconds = _told("seconds on bare, dry bisque")
    seconds_over = _told("seconds over the coat that is on; null when nothing is, or not known")
    over = serializers.CharField(help_text="over what, or why that is not known")
    wall = WallOut(allow_null=True)
    wall_why = serializers.CharField(help_text="why the wall was not asked; empty when it was")


def _out(found: Told) -> dict[str, Any]:
    bare = found.bare
    return {
        "why_not": found.why_not,
        "tile": bare.tile.pk if bare else None,
        "sg": bare.sg if bare else None,
        "coat_g_per_cm2": bare.coat if bare else None,
        "seconds": bare.seconds if bare else None,
        "seconds_over": found.over_s,
        "over": found.over,
        "wall": found.wall,
        "wall_why": found.wall_why,
    }


@needs(SEE)
class DipTime(Question):
    """Seconds for one coat at its newest reading, over what is on the piece, and what the wall says."""

    operation = "dip_time"
    query = CoatsForm
    output = DipTimeOut

    def find(self, pk: int, **asked: Any) -> dict[str, Any]:
        fill = get_object_or_404(with_tile(with_standing(Fill.objects.all())), pk=pk)
        return _out(told(fill, asked_of(fill, asked), policy.in_force()))


@needs(SEE)
class TilesOfFill(OfFill):
    """Tiles dipped in a fill, taken back ones and what took them back included."""

    operation = "tiles_of_fill"
    queryset = Tile.objects.all()
    serializer_class = TileOut


@needs(SEE)
class OneTile(One):
    """One tile."""

    operation = "tile"
    queryset = Tile.objects.all()
    serializer_class = TileOut


urlpatterns: list[URLPattern] = [
    path(f"{FILL}dip-time/", DipTime.as_view(), name="api-dip-time"),
    path(f"{FILL}tiles/", TilesOfFill.as_view(), name="api-tiles"),
    on_fill(record_tile, WET, TileForm, TileOut),
    path("tiles/<int:pk>/", OneTile.as_view(), name="api-tile"),
    on_row("tiles", "tile", Tile, take_back_tile, TileOut, TakeBackTileForm),
]
