from django.contrib import messages
from django.core.paginator import Paginator
from django.db.models import Q
from django.http import QueryDict
from django.shortcuts import get_object_or_404, render
from django.urls import reverse
from django.views.decorators.http import require_safe

from studio import words
from studio.errors import Refused
from studio.fields import plain
from studio.materials.calc.costing import average_per_kg
from studio.materials.densities import ASSUMED, ASSUMED_SOURCE, density_of
from studio.materials.forms.materials import AliasForm, DetailsForm, EndForm, NewMaterialForm, ReceiveForm
from studio.materials.forms.several import SeveralForm
from studio.materials.models import Lot, Material
from studio.materials.names import tidy
from studio.materials.operations import materials as acts
from studio.materials.operations import stock
from studio.materials.queries import ledger_of, lots_of, standing
from studio.pages import act_page, ask_again, bound, go, person
from studio.people import rights
from studio.people.acts import story
from studio.people.doors import needs
from studio.room.forms.kept import PlainForm

PAGE = 100


def to_material(material):
    return reverse("material", args=[material.pk])


def _found(query: QueryDict):
    """The materials the address asks for: words in name, alias or hazard words; discontinued on demand."""
    rows = Material.objects.order_by("name")
    said = " ".join(query.get("q", "").replace("\0", "").split())[:80]
    if said:
        hit = Q(name__icontains=said) | Q(aliases__name__icontains=said) | Q(hazard_words__icontains=said)
        return said, rows.filter(hit).distinct()
    state = Material.State.ENDED if query.get("state") == "discontinued" else Material.State.CURRENT
    return said, rows.filter(state=state)


@needs(rights.SEE)
def store(request):
    """Every material with what is usable, promised and left, and what it is worth."""
    said, rows = _found(request.GET)
    page = Paginator(rows, PAGE).get_page(request.GET.get("page"))
    materials = list(page)
    stands = standing([material.pk for material in materials])
    context = {
        "page": page,
        "rows": [(material, stands[material.pk]) for material in materials],
        "worth": sum(material.value for material in materials),
        "said": said,
        "ended": request.GET.get("state") == "discontinued",
        "may_change": request.user.may(rights.STORE),
    }
    return render(request, "materials/store.html", context)


@needs(rights.SEE)
def material(request, pk):
    """One material: how it stands, its lots, the newest lines of its ledger."""
    row = get_object_or_404(Material.objects.prefetch_related("aliases"), pk=pk)
    context = {
        "material": row,
        "stands": standing([row.pk])[row.pk],
        "per_kg": average_per_kg(value=row.value, on_hand_g=row.owned_g),
        "lots": lots_of(row),
        "ledger": ledger_of(material=row),
        "story": story(row)[:20],
        "may_change": request.user.may(rights.STORE),
    }
    return render(request, "materials/material.html", context)


@needs(rights.STORE)
@require_safe
def density(request):
    """The piece of the form that says what the reference table knows of a name."""
    name = request.GET.get("name", "")[:80]
    return render(request, "materials/_density.html", {"name": name, "found": density_of(name)})


@needs(rights.STORE)
def add_material(request):
    form = bound(request, NewMaterialForm, initial={"name": request.GET.get("name", "")[:80]})
    name = str(form["name"].value() or "")[:80]
    return act_page(
        request,
        form,
        acts.add_material,
        template="materials/material_form.html",
        context={"name": name, "found": density_of(name)},
        then=lambda row: reverse("add-material") if "another" in request.POST else to_material(row),
        said=_added,
    )


def _added(row: Material) -> str:
    there = words.mass(row.lots.get().on_hand_g) if row.lots.exists() else "nothing"
    density = f"{row.density.normalize():f} g/mL: {row.density_source}"
    return f"{row.name} is in the store, {there} of it. Density {density}."


@needs(rights.STORE)
def add_materials(request):
    """Several materials in one table; a row with a mistake keeps everything typed and writes nothing."""
    form = SeveralForm(request.POST if request.method == "POST" else None)
    asked_for_rows = "more" in request.POST
    if request.method == "POST" and not asked_for_rows and form.is_valid():
        try:
            args = form.act_args()
            acts.add_materials(by=person(request), **args)
        except acts.RowRefused as refusal:
            form.refuse(refusal)
        except Refused as refusal:
            ask_again(form, refusal)
        else:
            messages.success(request, _all_added([row.name for row in args["rows"]]))
            return go(request, reverse("store"))
    status = 422 if request.method == "POST" and not asked_for_rows else 200
    context = {"form": form, "only_more": asked_for_rows}
    return render(request, "materials/several.html", context, status=status)


def _all_added(names: list[str]) -> str:
    """What went in, and whose density is a guess."""
    rows = Material.objects.filter(name__in=[tidy(name) for name in names])
    assumed = [row.name for row in rows if row.density_source == ASSUMED_SOURCE]
    there = f"{len(names)} material{'s are' if len(names) > 1 else ' is'} in the store."
    if not assumed:
        return f"{there} Their densities are those of the reference table."
    return (
        f"{there} The reference table does not know {', '.join(assumed)}: "
        f"{plain(ASSUMED)} g/mL is assumed. Type the density of the data sheet when you have it."
    )


def _on_material(request, pk, form_class, do, context, said, initial=None, **kwargs):
    """A page for one act on one material; afterwards the material's page."""
    row = get_object_or_404(Material.objects.prefetch_related("aliases"), pk=pk)
    form = bound(request, form_class, initial=initial(row) if initial else {}, **kwargs)
    texts = {
        name: text.format(name=row.name) if name != "template" else text for name, text in context.items()
    }
    return act_page(
        request,
        form,
        do,
        template=texts.pop("template", "room/form.html"),
        about={"material": row},
        context={**texts, "back": to_material(row), "back_words": row.name},
        then=lambda _: to_material(row),
        said=said,
    )


def _details(row: Material) -> dict[str, object]:
    names = ("name", "role", "hazard_words", "soluble", "density", "density_source")
    return {**{name: getattr(row, name) for name in names}, "aliases": [a.name for a in row.aliases.all()]}


@needs(rights.STORE)
def change_material(request, pk):
    context = {"template": "materials/material_form.html"}
    said = "Changed. Batches made before keep what they said."
    return _on_material(request, pk, DetailsForm, acts.change_material, context, said, initial=_details)


@needs(rights.STORE)
def add_alias(request, pk):
    context = {
        "title": "Another name for {name}",
        "lead": "A recipe that says it will find this material.",
        "do": "Add this name",
    }
    return _on_material(
        request,
        pk,
        AliasForm,
        acts.add_alias,
        context,
        "The name is known now.",
        initial=lambda row: {"name": request.GET.get("name", "")[:80]},
    )


@needs(rights.STORE)
def end_material(request, pk):
    context = {
        "title": "Discontinue {name}?",
        "lead": "No more of it is received. What is there can be used up; recipes with it stay readable.",
        "do": "Discontinue it",
    }
    return _on_material(request, pk, EndForm, acts.end_material, context, "Discontinued.")


@needs(rights.STORE)
def bring_back_material(request, pk):
    context = {
        "title": "Bring {name} back?",
        "lead": "More of it can be received again.",
        "do": "Bring it back",
    }
    return _on_material(request, pk, PlainForm, acts.bring_back_material, context, "Brought back.")


@needs(rights.STORE)
def receive_lot(request, pk):
    row = get_object_or_404(Material, pk=pk)
    return act_page(
        request,
        bound(request, ReceiveForm, material=row),
        stock.receive_lot,
        template="materials/receive.html",
        about={"material": row},
        then=lambda lot: reverse("lot", args=[lot.code]),
        said=lambda lot: _received(lot),
    )


def _received(lot: Lot) -> str:
    state = "released" if lot.state == Lot.State.RELEASED else "in quarantine until you release it"
    return f"Lot {lot.code}: {words.mass(lot.on_hand_g)} of {lot.material.name}, {state}."
