"""Coats: what a wall takes, a tile kept or taken back, what a dipped piece drew."""

from datetime import timedelta
from decimal import Decimal
from typing import Any
from uuid import uuid4

from django.http import HttpRequest, HttpResponse, QueryDict
from django.shortcuts import get_object_or_404, redirect, render
from django.urls import reverse
from django.utils import timezone

from buckets.advice import newest_reading
from buckets.coating import one_coat, tile_of, with_tile
from buckets.forms.coating import NOTHING, ONE_COAT, CoatsForm, DragOutForm, TakeBackTileForm, TileForm
from buckets.models import Fill, Tile
from buckets.operations import coating
from buckets.queries import change_of, dip_check_of, fill_in
from buckets.views.at import acted_on, fill_page, units_of
from buckets.views.parts.dipping import pieces_left
from buckets.walls import Asked, told
from studio import words
from studio.calc.coating import coverage
from studio.calc.coating import drag_out as drag_out_of
from studio.calc.typed import typed_back
from studio.pages import act_page, bound, person
from studio.people import rights
from studio.people.doors import needs
from studio.quantities import rounded
from studio.room import policy

MOST_TILES = 20


@needs("see")
def coats(request: HttpRequest, code: str) -> HttpResponse:
    """Seconds, whether the wall takes it, and how long to wait: a question, answered in its address."""
    fill = fill_in(code)
    if fill is None:
        return redirect("bucket", code)
    rules, now = policy.in_force(), timezone.now()
    tile = tile_of(fill)
    form = CoatsForm(_asked(request.GET, tile.body_pk if tile else None))
    context: dict[str, Any] = {
        "fill": fill,
        "code": code,
        "form": form,
        "units": units_of(request),
        "tile": tile,
        "tiles": list(
            fill.tiles.filter(reverses=None).select_related("by", "body", "reversed_by")[:MOST_TILES]
        ),
        "changed": change_of(fill),
        "dip": dip_check_of(fill, now, rules),
        "may_wet": person(request).may(rights.WET),
        "rules": rules,
    }
    if form.is_valid():
        context |= _told(fill, form.cleaned_data, rules, now)
    return render(request, "buckets/coats.html", context, status=200 if form.is_valid() else 422)


def _asked(said: QueryDict, body: int | None) -> dict[str, Any]:
    """What was asked, with the usual answers where nothing was said."""
    usual = {"faces": "2"} if "under_g_per_cm2" in said else {"faces": "2", "under": NOTHING}
    if body is not None and "body" not in said:
        usual["body"] = str(body)
    return {**usual, **{name: value for name, value in said.items() if value or name == "body"}}


def _told(fill: Fill, said: dict[str, Any], rules: policy.Policy, now: Any) -> dict[str, Any]:
    answer = told(fill, asked_of(fill, said), rules)
    wall = answer.wall
    damp_until = None
    if wall and wall.damp_h:
        damp_until = now + timedelta(hours=wall.damp_h)
    body = said["body"]
    return {
        "told": answer,
        "body": body,
        "wall_mm": said["wall_mm"] or (body.wall_mm if body else None),
        "faces": int(said["faces"] or 2),
        "damp_until": damp_until,
        "from_cup": said["cup_sg"] is not None,
    }


def asked_of(fill: Fill, said: dict[str, Any]) -> Asked:
    """A clean ``CoatsForm`` as the question it asks of one fill."""
    reading = newest_reading(fill)
    under = (
        None if said["under"] == NOTHING else 0.0 if said["under"] == ONE_COAT else said["under_g_per_cm2"]
    )
    below = said["under_fill"]
    return Asked(
        sg=said["cup_sg"] or (reading.sg if reading else None),
        coat=_number(said["coat_g_per_cm2"]),
        under=_number(under),
        under_fill=with_tile(Fill.objects.select_related("check_reading", "member_reading")).get(pk=below.pk)
        if below and below.pk != fill.pk
        else None,
        hours=float(said["hours"] or 0),
        body=said["body"],
        wall_mm=_number(said["wall_mm"]),
        faces=int(said["faces"] or 2),
    )


def _number(value: Decimal | float | None) -> float | None:
    return None if value is None else float(value)


@needs("wet")
def record_tile(request: HttpRequest, code: str) -> HttpResponse:
    """A tile dipped and weighed."""
    return fill_page(
        request,
        code,
        TileForm,
        coating.record_tile,
        lambda tile: (
            f"Tile kept: {words.number(tile.seconds, 1, least=0)} s gave "
            f"{words.number(tile.coat_g_per_cm2, 4, least=0)} g/cm² at SG {words.sg(tile.sg)}."
        ),
        template="buckets/dip_tile.html",
    )


@needs("use")
def take_back_tile(request: HttpRequest, code: str, pk: int) -> HttpResponse:
    """A wrong tile."""
    tile = get_object_or_404(
        Tile.objects.select_related("fill__vessel"), pk=pk, fill__vessel__code=code, reverses=None
    )
    return act_page(
        request,
        bound(request, TakeBackTileForm),
        coating.take_back_tile,
        template="buckets/act.html",
        about={"tile": tile},
        context={
            "code": code,
            "title": f"Take back: tile of {words.number(tile.seconds, 1, least=0)} s",
            "lead": "It stays on record, crossed out, with your reason. The tile before it counts again.",
            "button": "Take it back",
            "icon": "back",
        },
        then=lambda _: reverse("coats", args=[code]),
        said="Taken back.",
    )


@needs("see")
def drag_out(request: HttpRequest, code: str) -> HttpResponse:
    """What a dipped piece drew: weighed before and at once after, or by its surface and coat."""
    fill = acted_on(request, code)
    if fill is None:
        return redirect("bucket", code)
    rules = policy.in_force()
    asked = any(request.GET.values())
    form = DragOutForm(request.GET if asked else None)
    reading = newest_reading(fill)
    one = one_coat(fill, tile_of(fill), reading.sg if reading else None, rules)
    context: dict[str, Any] = {
        "fill": fill,
        "code": code,
        "form": form,
        "units": units_of(request),
        "may_use": person(request).may(rights.USE),
        "may_wet": person(request).may(rights.WET),
        "key": uuid4(),
        "tile_key": uuid4(),
        "rules": rules,
    }
    status = 200
    if asked and form.is_valid():
        context["drawn"] = _drawn(fill, form, reading.sg if reading else None, one, rules)
    elif asked:
        status = 422
    return render(request, "buckets/drag_out.html", context, status=status)


def _drawn(fill: Fill, form: DragOutForm, sg: Decimal | None, one: Any, rules: policy.Policy) -> Any:
    """Slurry and coat of one piece and of all; a sentence where something is not known."""
    said = form.cleaned_data
    if sg is None:
        return {"why_not": "It has no reading yet. Measure it first."}
    if fill.particle_density is None:
        return {"why_not": "The powder's density of this glaze is not known, so wet and dry cannot be told."}
    area, pieces = float(said["area_cm2"]), said["pieces"] or 1
    slurry = {"sg": float(sg), "rho_s": float(fill.particle_density)}
    gain = form.gain_g
    if gain is not None:
        out = drag_out_of(gain_g=float(gain), area_cm2=area, **slurry)
        coat, each_ml = out.coat_g_per_cm2, out.slurry_ml
    else:
        wanted = said["coat_g_per_cm2"] or (None if isinstance(one, str) else one.tile.wanted)
        if wanted is None:
            return {"why_not": "No tile says which coat this glaze wants. Type the coat, or weigh a piece."}
        coat = float(wanted)
        each_ml = area * coverage(coat_g_per_cm2=coat, **slurry).ml_per_cm2
    return {
        "coat": coat,
        "each_ml": each_ml,
        "area": area,
        "pieces": pieces,
        "litres": Decimal(repr(round(each_ml * pieces / 1000, 3))),
        "gain": gain,
        "sg": sg,
        "seconds": said["seconds"],
        "ml_typed": typed_back(rounded(each_ml * pieces, 1)),
        "tile_typed": {
            "seconds": typed_back(said["seconds"]) if said["seconds"] else "",
            "area": typed_back(said["area_cm2"]),
            "gain": typed_back(gain) if gain is not None else "",
        },
        "left": None if isinstance(one, str) else pieces_left(fill, one, area, rules),
        **slurry,
    }
