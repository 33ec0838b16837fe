"""The API of this app: the same acts and questions as its pages."""

from typing import Any

from django.db.models import Q, QuerySet
from django.shortcuts import get_object_or_404
from django.urls import URLPattern, path
from drf_spectacular.utils import OpenApiParameter, extend_schema
from rest_framework import exceptions, generics
from rest_framework.response import Response
from rest_framework.views import APIView

from studio.api_kit import Pages, act_view
from studio.materials import serializers as out
from studio.materials.forms import lots as lot_forms
from studio.materials.forms.materials import AliasForm, DetailsForm, EndForm, NewMaterialForm, ReceiveForm
from studio.materials.models import Lot, Material, Movement
from studio.materials.operations import materials, stock
from studio.materials.queries import standing
from studio.people import rights
from studio.people.doors import needs
from studio.room.forms.kept import PlainForm, ReasonForm

HIGHEST_ID = 2**63 - 1


def number_of(query: Any, name: str) -> int | None:
    """A row number asked for in the address, or None; a 400 when it is none."""
    typed = query.get(name, "")
    if not typed:
        return None
    if not (typed.isascii() and typed.isdigit() and int(typed) <= HIGHEST_ID):
        raise exceptions.ValidationError({name: ["This is not the number of a row."]})
    return int(typed)


@needs(rights.SEE)
@extend_schema(
    parameters=[OpenApiParameter("q", str, description="words in a name, other name or hazard word")]
)
class Materials(generics.ListAPIView):
    """The materials, newest first; discontinued ones, too."""

    serializer_class = out.MaterialOut
    pagination_class = Pages
    queryset = Material.objects.prefetch_related("aliases")

    def get_queryset(self) -> QuerySet[Material]:
        said = self.request.GET.get("q", "").replace("\0", "")[:80]
        rows = super().get_queryset()
        if not said:
            return rows
        hit = Q(name__icontains=said) | Q(aliases__name__icontains=said) | Q(hazard_words__icontains=said)
        return rows.filter(pk__in=Material.objects.filter(hit).values("pk"))


@needs(rights.SEE)
class OneMaterial(generics.RetrieveAPIView):
    """One material."""

    serializer_class = out.MaterialOut
    queryset = Material.objects.prefetch_related("aliases")


@needs(rights.SEE)
class MaterialStanding(APIView):
    """What of a material is usable, promised, available and in quarantine."""

    @extend_schema(operation_id="material_standing", responses=out.StandingOut)
    def get(self, request: Any, pk: int) -> Response:
        material = get_object_or_404(Material, pk=pk)
        stands = standing([material.pk])[material.pk]
        names = ("usable_g", "reserved_g", "available_g", "quarantine_g")
        return Response(
            out.StandingOut({"material": material.pk, **{name: getattr(stands, name) for name in names}}).data
        )


@needs(rights.SEE)
@extend_schema(
    parameters=[
        OpenApiParameter("material", int, description="lots of this material"),
        OpenApiParameter("state", str, enum=[str(state) for state in Lot.State.values]),
    ]
)
class Lots(generics.ListAPIView):
    """The lots, newest first."""

    serializer_class = out.LotOut
    pagination_class = Pages
    queryset = Lot.objects.all()

    def get_queryset(self) -> QuerySet[Lot]:
        rows = super().get_queryset()
        if (number := number_of(self.request.GET, "material")) is not None:
            rows = rows.filter(material=number)
        if state := self.request.GET.get("state", ""):
            rows = rows.filter(state=state) if state in Lot.State.values else rows.none()
        return rows


@needs(rights.SEE)
class OneLot(generics.RetrieveAPIView):
    """One lot."""

    serializer_class = out.LotOut
    queryset = Lot.objects.all()


@needs(rights.SEE)
@extend_schema(
    parameters=[
        OpenApiParameter("material", int, description="lines of this material"),
        OpenApiParameter("lot", int, description="lines of this lot"),
    ]
)
class Movements(generics.ListAPIView):
    """The ledger, newest first. Nothing in it is ever changed; a correction is one more line."""

    serializer_class = out.MovementOut
    pagination_class = Pages
    queryset = Movement.objects.all()

    def get_queryset(self) -> QuerySet[Movement]:
        rows = super().get_queryset()
        for name in ("material", "lot"):
            if (number := number_of(self.request.GET, name)) is not None:
                rows = rows.filter(**{name: number})
        return rows


def _material(request: Any, pk: int) -> dict[str, Any]:
    return {"material": get_object_or_404(Material, pk=pk)}


def _lot(request: Any, pk: int) -> dict[str, Any]:
    return {"lot": get_object_or_404(Lot.objects.select_related("material"), pk=pk)}


def _rows(request: Any, rows: dict[str, Any]) -> dict[str, Any]:
    """The form is told which row it is about, so that it can ask about unlikely figures."""
    return rows


def _act(where: str, do: Any, form: Any, output: Any, about: Any = None) -> URLPattern:
    """One act below ``where``: its address and its names are those of the operation."""
    name = do.__name__
    dashes = name.replace("_", "-")
    told = _rows if issubclass(form, lot_forms.LotForm | ReceiveForm) else None
    view = act_view(name, right=rights.STORE, form=form, do=do, output=output, about=about, form_kwargs=told)
    return path(f"{where}{dashes}/", view, name=f"api-{dashes}")


MATERIAL, LOT = "materials/<int:pk>/", "lots/<int:pk>/"

urlpatterns: list[URLPattern] = [
    path("materials/", Materials.as_view(), name="api-materials"),
    _act("materials/", materials.add_material, NewMaterialForm, out.MaterialOut),
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
