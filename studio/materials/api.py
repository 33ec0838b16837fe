"""The API of this app: the same acts and questions as its pages."""

from typing import Any

from django import forms
from django.db.models import Q, QuerySet
from django.shortcuts import get_object_or_404
from django.urls import URLPattern, path

from studio.api_kit import ListOf, One, Question, act_at, row_of
from studio.api_kit.asking import RowNumber, one_of, words
from studio.materials import serializers as out
from studio.materials.densities import density_of
from studio.materials.forms import lots as lot_forms
from studio.materials.forms.materials import AliasForm, DetailsForm, EndForm, NewMaterialForm, ReceiveForm
from studio.materials.forms.several import SeveralForm
from studio.materials.models import Lot, Material, Movement
from studio.materials.operations import materials, stock
from studio.materials.queries import standing
from studio.people import rights
from studio.people.doors import needs
from studio.room.forms.kept import PlainForm, ReasonForm


class MaterialsAsked(forms.Form):
    q = words("Words in a name, other name or hazard word", 80)
    state = one_of("In this state", Material.State.choices)


class LotsAsked(forms.Form):
    material = RowNumber("Lots of this material")
    code = words("The lot with this code", 20)
    state = one_of("In this state", Lot.State.choices)


class MovementsAsked(forms.Form):
    material = RowNumber("Lines of this material")
    lot = RowNumber("Lines of this lot")


class NameAsked(forms.Form):
    name = forms.CharField(label="Name of a material", max_length=80)


@needs(rights.SEE)
class Materials(ListOf):
    """The materials, newest first; discontinued ones, too."""

    operation = "materials"
    query = MaterialsAsked
    serializer_class = out.MaterialOut
    queryset = Material.objects.prefetch_related("aliases")

    def narrow(self, rows: QuerySet[Material], **asked: Any) -> QuerySet[Material]:
        if said := asked.pop("q"):
            hit = Q(name__icontains=said) | Q(aliases__name__icontains=said) | Q(hazard_words__icontains=said)
            rows = rows.filter(pk__in=Material.objects.filter(hit).values("pk"))
        return super().narrow(rows, **asked)


@needs(rights.SEE)
class OneMaterial(One):
    """One material."""

    operation = "material"
    serializer_class = out.MaterialOut
    queryset = Material.objects.prefetch_related("aliases")


@needs(rights.SEE)
class MaterialStanding(Question):
    """What of a material is usable, promised, available and in quarantine."""

    operation = "material_standing"
    output = out.StandingOut

    def find(self, pk: int) -> dict[str, Any]:
        material = get_object_or_404(Material, pk=pk)
        stands = standing([material.pk])[material.pk]
        names = ("usable_g", "reserved_g", "available_g", "quarantine_g")
        return {"material": material.pk, **{name: getattr(stands, name) for name in names}}


@needs(rights.SEE)
class MaterialDensity(Question):
    """The particle density that the reference table has for a name."""

    operation = "material_density"
    query = NameAsked
    output = out.DensityOut

    def find(self, name: str) -> dict[str, Any]:
        found = density_of(name)
        return {"density": found and found.density, "source": found and found.said}


@needs(rights.SEE)
class Lots(ListOf):
    """The lots, newest first."""

    operation = "lots"
    query = LotsAsked
    serializer_class = out.LotOut
    queryset = Lot.objects.all()


@needs(rights.SEE)
class OneLot(One):
    """One lot."""

    operation = "lot"
    serializer_class = out.LotOut
    queryset = Lot.objects.all()


@needs(rights.SEE)
class Movements(ListOf):
    """The ledger, newest first. Nothing in it is ever changed; a correction is one more line."""

    operation = "movements"
    query = MovementsAsked
    serializer_class = out.MovementOut
    queryset = Movement.objects.all()


def _told(request: Any, rows: dict[str, Any]) -> dict[str, Any]:
    """The form is told which row it is about, so that it can ask about unlikely figures."""
    return rows


def _act(where: str, do: Any, form: Any, output: Any, about: Any = None) -> URLPattern:
    told = _told if issubclass(form, lot_forms.LotForm | ReceiveForm) else None
    return act_at(where, do, form=form, output=output, about=about, form_kwargs=told, right=rights.STORE)


_material = row_of("material", Material)
_lot = row_of("lot", Lot.objects.select_related("material"))
MATERIAL, LOT = "materials/<int:pk>/", "lots/<int:pk>/"

urlpatterns: list[URLPattern] = [
    path("materials/", Materials.as_view(), name="api-materials"),
    path("materials/density/", MaterialDensity.as_view(), name="api-material-density"),
    _act("materials/", materials.add_material, NewMaterialForm, out.MaterialOut),
    _act("materials/", materials.add_materials, SeveralForm, out.MaterialOut),
    path(MATERIAL, OneMaterial.as_view(), name="api-material"),
    path(f"{MATERIAL}standing/", MaterialStanding.as_view(), name="api-material-standing"),
    _act(MATERIAL, materials.change_material, DetailsForm, out.MaterialOut, _material),
    _act(MATERIAL, materials.add_alias, AliasForm, out.MaterialOut, _material),
    _act(MATERIAL, materials.end_material, EndForm, out.MaterialOut, _material),
    _act(MATERIAL, materials.bring_back_material, PlainForm, out.MaterialOut, _material),
    _act(MATERIAL, stock.receive_lot, ReceiveForm, out.LotOut, _material),
    path("lots/", Lots.as_view(), name="api-lots"),
    path(LOT, OneLot.as_view(), name="api-lot"),
    _act(LOT, stock.change_lot, lot_forms.LotDetailsForm, out.LotOut, _lot),
    _act(LOT, stock.release_lot, PlainForm, out.LotOut, _lot),
    _act(LOT, stock.quarantine_lot, ReasonForm, out.LotOut, _lot),
    _act(LOT, stock.reject_lot, ReasonForm, out.LotOut, _lot),
    _act(LOT, stock.use_up_lot, lot_forms.UseUpForm, out.LotOut, _lot),
    _act(LOT, stock.correct_stock, lot_forms.CorrectForm, out.MovementOut, _lot),
    _act(LOT, stock.correct_price, lot_forms.PriceForm, out.MovementOut, _lot),
    path("movements/", Movements.as_view(), name="api-movements"),
]
