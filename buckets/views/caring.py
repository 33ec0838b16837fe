"""Acts that change what is in a bucket: what will be so afterwards, then done, then measured again."""

from collections.abc import Callable
from decimal import Decimal
from typing import Any

from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.urls import reverse

from buckets.advice import ToTarget, to_target
from buckets.afterwards import afterwards, predicted_sg
from buckets.calc.changes import Change, of_powder, of_water
from buckets.calc.flow_table import ADDITIVES, CELLS, MARK
from buckets.forms import acting, caring
from buckets.forms.acting import FillForm
from buckets.models import Care, Fill
from buckets.operations import additives, care, fills, powder, reclaim
from buckets.operations.changing import density_of, dry_kg_in
from buckets.queries import empty_vessels
from buckets.recovery import steps_of
from buckets.views.at import acted_on, bucket_url, units_of
from buckets.views.trying import tried
from buckets.worth import left_in
from studio import words
from studio.calc.doses import stock_dose
from studio.errors import Refused
from studio.fields import ActForm
from studio.materials.models import Lot
from studio.pages import act_page, ask_again, bound, person
from studio.people.doors import needs
from studio.quantities import rounded
from studio.room import policy

Preview = Callable[[Fill, ToTarget], tuple[dict[str, Any], Change] | None]


def change_page(
    request: HttpRequest,
    code: str,
    form_class: type[FillForm],
    do: Callable[..., Care],
    *,
    template: str,
    said: Callable[[Care], str],
    advised: Preview | None = None,
    facts: Callable[[Fill], dict[str, Any]] | None = None,
    then: str = "",
    **more: Any,
) -> HttpResponse:
    """The page of an act that changes a fill. ``look`` shows what will be so and writes nothing.

    ``?as=advised`` fills in what the advice says and shows what that makes of the bucket.
    """
    fill = acted_on(request, code)
    if fill is None and request.method != "POST":
        return redirect("bucket", code)
    context: dict[str, Any] = {"code": code, "fill": fill, "units": units_of(request), **more}
    if fill is not None:
        context |= {"advice": to_target(fill), "from_sg": predicted_sg(fill)}
        context |= facts(fill) if facts else {}
    told = context.pop("form_kwargs", {})
    form = bound(request, form_class, fill=fill, **told)
    if request.method == "POST" and "look" in request.POST:
        return _looked(request, form, do, template, context)
    if advised and fill is not None and request.GET.get("as") == "advised" and request.method == "GET":
        form, context["after"] = _as_advised(form_class, fill, context, advised, told)
    return act_page(
        request,
        form,
        do,
        template=template,
        about={"fill": fill},
        context=context,
        then=lambda row: then or bucket_url(code),
        said=said,
    )


def _looked(
    request: HttpRequest, form: ActForm, do: Callable[..., Care], template: str, context: dict[str, Any]
) -> HttpResponse:
    """What was typed, tried: the same page with what would be so, or with the refusal."""
    good = form.is_valid()
    if good and not getattr(form, "only_asks", False):
        said = {name: value for name, value in form.act_args().items() if name != "key"}
        try:
            found = tried(do, context["fill"], by=person(request), **said)
            context |= {"after": found.after, "row": found.row}
        except Refused as refusal:
            ask_again(form, refusal)
            good = False
    return render(request, template, {**context, "form": form}, status=200 if good else 422)


def _as_advised(
    form_class: type[FillForm], fill: Fill, context: dict[str, Any], advised: Preview, told: dict[str, Any]
) -> tuple[ActForm, Any]:
    """The form with the advised amount in it, and the bucket after that."""
    found = advised(fill, context["advice"]) if context["advice"] else None
    if found is None:
        return form_class(fill=fill, **told), None
    initial, change = found
    after = afterwards(fill, change, policy.in_force(), from_sg=context["from_sg"])
    return form_class(fill=fill, initial=initial, **told), after


def said_of(row: Care, what: str) -> str:
    """What was noted, what the bucket holds now, and what comes next."""
    fill = row.fill
    said = f"{what} {fill.vessel.code}: about {words.litres(fill.volume_l)} now"
    sg = predicted_sg(fill)
    if sg is not None:
        said += f", by the last reading about SG {words.sg(sg)}"
    return f"{said}. Stir to the floor, then measure."


def _litres(row: Care) -> str:
    return words.litres(row.volume_l or Decimal(0))


# --- water


@needs("wet")
def water_in(request: HttpRequest, code: str) -> HttpResponse:
    """Water in, with what it makes of the litres and the SG."""
    return change_page(
        request,
        code,
        acting.WaterForm,
        care.water_in,
        template="buckets/water.html",
        said=lambda row: said_of(row, f"{_litres(row)} of water into"),
        advised=_first_water,
    )


def _first_water(fill: Fill, advice: ToTarget) -> tuple[dict[str, Any], Change] | None:
    if advice.first_l is None:
        return None
    litres, typed = by_the_jug(advice.first_l)
    return {"volume_l": typed}, of_water(litres=float(litres))


def by_the_jug(litres: Decimal) -> tuple[Decimal, list[str]]:
    """Litres as they are measured and typed: to the millilitre below a litre, to 10 mL from there."""
    if litres < 1:
        return rounded(litres, 3), [f"{1000 * litres:.0f}", "mL"]
    return rounded(litres, 2), [f"{rounded(litres, 2)}", "L"]


@needs("wet")
def water_off(request: HttpRequest, code: str) -> HttpResponse:
    """Water off: decanted clear, or gone by standing open."""
    return change_page(
        request,
        code,
        caring.WaterOffForm,
        care.water_off,
        template="buckets/water_off.html",
        said=lambda row: said_of(row, f"{_litres(row)} of water off"),
        advised=_water_to_lose,
    )


def _water_to_lose(fill: Fill, advice: ToTarget) -> tuple[dict[str, Any], Change] | None:
    if advice.leaves_l is None:
        return None
    how = care.DECANTED if advice.may_decant and advice.enough_clear else care.STANDING_OPEN
    litres, typed = by_the_jug(advice.leaves_l)
    return {"volume_l": typed, "how": how}, of_water(litres=-float(litres))


@needs("wet")
def sieve_fill(request: HttpRequest, code: str) -> HttpResponse:
    """The whole bucket went through a sieve; rinse water counts as water in."""
    return change_page(
        request,
        code,
        acting.SieveForm,
        care.sieve_fill,
        template="buckets/change.html",
        said=_said_of_sieve,
        title="Sieved",
        lead="The whole bucket went through a sieve. Wash the sieve from both sides; what it holds is waste "
        "or reclaim, never for the sink.",
        button="Keep this",
        icon="sieve",
    )


def _said_of_sieve(row: Care) -> str:
    rinse = row.parts.first()
    if rinse is None:
        return "Noted: sieved."
    return said_of(row, f"Sieved, {_litres(rinse)} of rinse water into")


# --- powder and additives


@needs("make")
def powder_in(request: HttpRequest, code: str) -> HttpResponse:
    """Dry powder of the recipe in: made up before, or weighed now out of lots."""
    return change_page(
        request,
        code,
        caring.PowderForm,
        powder.powder_in,
        template="buckets/powder.html",
        said=lambda row: said_of(row, f"{words.mass(row.mass_g or 0)} of powder into"),
        advised=_advised_powder,
        facts=_powder_facts,
    )


def _powder_facts(fill: Fill) -> dict[str, Any]:
    lines = _lines(fill)
    return {
        "lines": lines,
        "density": density_of(fill),
        "form_kwargs": {"choices": [line["lots"] for line in lines]},
    }


def _advised_powder(fill: Fill, advice: ToTarget) -> tuple[dict[str, Any], Change] | None:
    if not advice.powder_g:
        return None
    change = of_powder(grams=float(advice.powder_g), rho_s=float(density_of(fill)))
    return {"mass_g": advice.powder_g}, change


def _lines(fill: Fill) -> list[dict[str, Any]]:
    """Lines of the fill's version: share, grams for the advised powder, and lots to take them from."""
    if fill.version is None:
        return []
    advice = to_target(fill)
    total_g = (advice.powder_g if advice else None) or Decimal(1000)
    shares = powder.shares_of(fill.version)
    lots: dict[int, list[tuple[str, str]]] = {}
    released = Lot.objects.filter(
        material__in={line.material_id for line, _ in shares}, state=Lot.State.RELEASED, on_hand_g__gt=0
    )
    for lot in released.order_by("received_on", "id"):
        lots.setdefault(lot.material_id, []).append(
            (lot.code, f"{lot.code}, {words.mass(lot.on_hand_g)} left")
        )
    return [
        {
            "name": line.material.name,
            "material": line.material,
            "share_pct": rounded(100 * share, 2),
            "grams": rounded(share * total_g, 1),
            "total_g": total_g,
            "lots": lots.get(line.material_id) or [("", "no released lot")],
        }
        for line, share in shares
    ]


@needs("wet")
def additive_in(request: HttpRequest, code: str) -> HttpResponse:
    """Flocculant, deflocculant, gum, bentonite, biocide: dose by dry glaze, as a solution, half first."""
    return change_page(
        request,
        code,
        caring.DoseForm,
        additives.additive_in,
        template="buckets/additive.html",
        said=lambda row: said_of(row, f"{row.additive.capitalize()} into"),
        additives=list(ADDITIVES.values()),
        cells=list(CELLS.items()),
        mark=MARK,
        facts=lambda fill: _dose_facts(request, fill),
    )


def _dose_facts(request: HttpRequest, fill: Fill) -> dict[str, Any]:
    dry_kg = dry_kg_in(fill, predicted_sg(fill))
    return {"dry_kg": dry_kg, "dose": _dose(request, fill, dry_kg)}


def _dose(request: HttpRequest, fill: Fill, dry_kg: float | None) -> dict[str, Any] | None:
    """What the wanted dose comes to here: grams and, as a solution, litres; half of it first."""
    form = bound(request, caring.DoseForm, fill=fill)
    if request.method != "POST" or not form.is_valid():
        return None
    said = form.cleaned_data
    item = ADDITIVES[said["additive"]]
    wanted, stock = said.get("wanted_pct"), said.get("stock_g_per_l")
    if wanted is None or dry_kg is None:
        return None
    found = stock_dose(
        dry_kg=dry_kg,
        dose_pct_of_dry=float(wanted),
        stock_g_per_l=float(stock or 1),
        hydrate_factor=item.hydrate_factor if said.get("anhydrous") else 1.0,
    )
    usual = item.low_pct is not None and item.high_pct is not None
    return {
        "item": item,
        "wanted_pct": wanted,
        "dry_kg": dry_kg,
        "grams": found.salt_g,
        "first_g": found.salt_g / 2,
        "stock_g_per_l": stock,
        "litres": found.stock_ml / 1000 if stock else None,
        "first_l": found.stock_ml / 2000 if stock else None,
        "beyond": bool(usual and item.high_pct and float(wanted) > item.high_pct),
    }


# --- recovery


@needs("wet")
def thaw_fill(request: HttpRequest, code: str) -> HttpResponse:
    """It had frozen: noted, then led through stirring, sieving and measuring."""
    return _recovery(request, code, care.thaw_fill, "Noted: thawed. No reading from before counts.", "thawed")


@needs("wet")
def loosen(request: HttpRequest, code: str) -> HttpResponse:
    """It has settled as hard as a brick: loosened by hand, a suspender, ten minutes, measured."""
    return _recovery(request, code, care.loosen, "Noted: loosened to the floor and stirred.", "hard settled")


def _recovery(
    request: HttpRequest, code: str, do: Callable[..., Care], said: str, which: str
) -> HttpResponse:
    here = reverse("thaw-fill" if which == "thawed" else "loosen", args=[code])
    return change_page(
        request,
        code,
        caring.RecoverForm,
        do,
        template="buckets/recovery.html",
        said=lambda _: said,
        then=here,
        which=which,
        facts=lambda fill: {"steps": steps_of(fill, which)},
    )


# --- reclaim, and the end of a fill


@needs("make")
def begin_reclaim(request: HttpRequest) -> HttpResponse:
    """An empty bucket becomes the reclaim bucket."""
    form = bound(request, caring.BeginReclaimForm, initial={"vessel": request.GET.get("bucket", "")})
    empty = [(vessel.code, vessel.code) for vessel in empty_vessels().order_by("code")]
    form.fields["vessel"].widget.choices = [("", "choose"), *empty]  # type: ignore[attr-defined]
    return act_page(
        request,
        form,
        reclaim.begin_reclaim,
        template="buckets/reclaim.html",
        context={"none_empty": not empty},
        then=bucket_url,
        said=lambda fill: f"{fill.vessel.code} is a reclaim bucket now. Print its label.",
    )


@needs("wet")
def pour_into_reclaim(request: HttpRequest, code: str) -> HttpResponse:
    """Something more into the reclaim bucket."""
    return change_page(
        request,
        code,
        caring.PourReclaimForm,
        reclaim.pour_into_reclaim,
        template="buckets/change.html",
        said=lambda row: said_of(row, f"{_litres(row)} poured into"),
        title="Into the reclaim bucket",
        lead="Glaze only: no clay, no plaster, no sweepings. Nothing of it ever goes on a food surface.",
        button="It is in",
        icon="bucket",
    )


@needs("make")
def empty_fill(request: HttpRequest, code: str) -> HttpResponse:
    """The bucket is emptied: what it holds and what that is worth, before it is done."""
    fill = acted_on(request, code)
    if fill is None and request.method != "POST":
        return redirect("bucket", code)
    left = left_in(fill) if fill and not fill.emptied_at else None
    return act_page(
        request,
        bound(request, caring.EmptyForm, fill=fill),
        fills.empty_fill,
        template="buckets/retire.html",
        about={"fill": fill},
        context={
            "code": code,
            "units": units_of(request),
            "left": left,
            "known_pct": 100 * left.known_share if left else None,
        },
        then=lambda row: bucket_url(code),
        said=lambda row: f"{row.vessel.code} is empty. Its label is void: take it off.",
    )
