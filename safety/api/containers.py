"""The API of containers and lots that bear a label, and of the paper labels are printed on."""

from typing import Any

from django import forms
from django.urls import URLPattern, path

from safety.api.labels import LabelOut
from safety.forms.containers import CapacityForm, ContainerForm, GoneForm, StockForm
from safety.models import Container, Stock
from safety.operations import containers as acts
from safety.operations import stocks as stock_acts
from studio.api_kit import ListOf, One, RowOut, act_at, row_of
from studio.api_kit.asking import one_of
from studio.fields import ActForm
from studio.materials.models import Lot
from studio.people.doors import needs
from studio.people.rights import BINDER, SEE
from studio.room.forms.kept import PlainForm


class ContainerOut(RowOut):
    """Something else a label is stuck on, and what is in it."""

    class Meta:
        model = Container
        fields = ["id", "kind", "capacity_ml", "lot", "what", "mix", "about", "made_on", "gone_at"]


class LabelStockOut(RowOut):
    """A kind of label sheet or roll; sizes in mm."""

    class Meta:
        model = Stock
        fields = [
            "id", "name", "paper", "width_mm", "height_mm", "columns", "rows", "left_mm", "top_mm",
            "gap_x_mm", "gap_y_mm", "retired_at",
        ]  # fmt: skip


class ContainersAsked(forms.Form):
    kind = one_of("Of this kind", Container.Kind.choices)


@needs(SEE)
class Containers(ListOf):
    """Tubs, weighed pots, test tiles and waste with a label, newest first; those gone, too."""

    operation = "containers"
    query = ContainersAsked
    queryset = Container.objects.all()
    serializer_class = ContainerOut


@needs(SEE)
class OneContainer(One):
    """One container."""

    operation = "container"
    queryset = Container.objects.all()
    serializer_class = ContainerOut


@needs(SEE)
class Stocks(ListOf):
    """Kinds of label sheets and rolls, newest first; retired ones, too."""

    operation = "stocks"
    queryset = Stock.objects.all()
    serializer_class = LabelStockOut


@needs(SEE)
class OneStock(One):
    """One kind of label sheet or roll."""

    operation = "stock"
    queryset = Stock.objects.all()
    serializer_class = LabelStockOut


def _binder(where: str, do: Any, form: Any, output: Any, about: Any = None) -> URLPattern:
    more = {} if about is None else {"about": about}
    return act_at(where, do, right=BINDER, form=form, output=output, **more)


CONTAINER, STOCK = "containers/<int:pk>/", "label-stocks/<int:pk>/"
IT, PAPER = row_of("container", Container), row_of("stock", Stock)

urlpatterns: list[URLPattern] = [
    path("containers/", Containers.as_view(), name="api-containers"),
    path(CONTAINER, OneContainer.as_view(), name="api-container"),
    _binder("containers/", acts.add_container, ContainerForm, ContainerOut),
    _binder(CONTAINER, acts.print_container_label, ActForm, LabelOut, IT),
    _binder(CONTAINER, acts.container_gone, GoneForm, ContainerOut, IT),
    _binder("lots/<int:pk>/", acts.print_lot_label, CapacityForm, LabelOut, row_of("lot", Lot)),
    path("label-stocks/", Stocks.as_view(), name="api-stocks"),
    path(STOCK, OneStock.as_view(), name="api-stock"),
    _binder("label-stocks/", stock_acts.add_stock, StockForm, LabelStockOut),
    _binder(STOCK, stock_acts.change_stock, StockForm, LabelStockOut, PAPER),
    _binder(STOCK, stock_acts.retire_stock, PlainForm, LabelStockOut, PAPER),
    _binder(STOCK, stock_acts.bring_back_stock, PlainForm, LabelStockOut, PAPER),
]
