"""The paper labels are printed on: sheets and rolls by their sizes, and a page to try a printer with."""

from typing import Any

from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, render
from django.urls import reverse

from safety.forms.containers import StockForm
from safety.labelling.sheets import grid_of, ruler
from safety.models import Stock
from safety.operations import stocks as acts
from studio.pages import act_page, bound
from studio.people import rights
from studio.people.acts import story
from studio.people.doors import needs
from studio.printing import paper
from studio.room.forms.kept import PlainForm


def _to(row: Stock) -> str:
    return reverse("stock", args=[row.pk])


@needs(rights.SEE)
def stocks(request: HttpRequest) -> HttpResponse:
    """Every kind of label sheet and roll, those in use first."""
    rows = sorted(
        Stock.objects.all()[:200], key=lambda row: (row.retired_at is not None, row.name.casefold())
    )
    may = request.user.may(rights.BINDER)  # type: ignore[union-attr]
    return render(request, "safety/stocks.html", {"rows": rows, "may": may})


@needs(rights.SEE)
def stock(request: HttpRequest, pk: int) -> HttpResponse:
    """One kind of paper: its sizes, its test page, its story."""
    row = get_object_or_404(Stock, pk=pk)
    may = request.user.may(rights.BINDER)  # type: ignore[union-attr]
    return render(request, "safety/stock.html", {"stock": row, "story": story(row)[:40], "may": may})


@needs(rights.SEE)
def stock_test(request: HttpRequest, pk: int) -> HttpResponse:
    """A page with every label's outline and two rulers, to lay over a sheet of the real paper."""
    row = get_object_or_404(Stock, pk=pk)
    grid = grid_of(row)
    wide, high = grid.paper_mm
    context = {
        "stock": row,
        "grid": grid,
        "wide": wide,
        "high": high,
        "outlines": [(number + 1, *grid.corner_mm(number)) for number in range(grid.places)],
        "across": ruler(wide),
        "down": ruler(high),
    }
    return paper(request, "print/stock_test.html", context, f"test-page-{row.pk}")


@needs(rights.BINDER)
def add_stock(request: HttpRequest) -> HttpResponse:
    return act_page(
        request,
        bound(request, StockForm),
        acts.add_stock,
        template="safety/stock_form.html",
        then=_to,
        said="Kept. Print its test page before the first labels.",
    )


@needs(rights.BINDER)
def change_stock(request: HttpRequest, pk: int) -> HttpResponse:
    row = get_object_or_404(Stock, pk=pk)
    return act_page(
        request,
        bound(request, StockForm, initial=StockForm.shows(row)),
        acts.change_stock,
        template="safety/stock_form.html",
        about={"stock": row},
        then=_to,
        said="Changed. Print its test page once more.",
    )


def _ask(request: HttpRequest, pk: int, act: Any, said: str, **words: str) -> HttpResponse:
    row = get_object_or_404(Stock, pk=pk)
    return act_page(
        request,
        bound(request, PlainForm),
        act,
        template="room/form.html",
        about={"stock": row},
        context={
            **{name: text.format(row.name) for name, text in words.items()},
            "back": _to(row),
            "back_words": row.name,
        },
        then=_to,
        said=said.format(row.name),
    )


@needs(rights.BINDER)
def retire_stock(request: HttpRequest, pk: int) -> HttpResponse:
    return _ask(
        request,
        pk,
        acts.retire_stock,
        "{} is retired.",
        title="Retire {}?",
        lead="It is not offered for printing any more.",
        do="Retire it",
    )


@needs(rights.BINDER)
def bring_back_stock(request: HttpRequest, pk: int) -> HttpResponse:
    return _ask(
        request,
        pk,
        acts.bring_back_stock,
        "{} is back in use.",
        title="{} back in use?",
        lead="It is offered for printing again.",
        do="Back in use",
    )
