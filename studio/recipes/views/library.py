"""The library: every recipe, found by words and narrowed by cone, atmosphere and state."""

from django.core.paginator import Paginator
from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.views.decorators.http import require_safe

from studio.pages import person
from studio.people.doors import needs
from studio.people.rights import RECIPES
from studio.recipes import queries
from studio.recipes.calc.cones import CONES, cone_order
from studio.recipes.models import Recipe

A_PAGE = 50
SHOWN_WORDS = (("", "In use"), ("in-force", "In force"), ("draft", "With a draft"), ("retired", "Retired"))


@needs("see")
@require_safe
def library(request: HttpRequest) -> HttpResponse:
    """Recipes a page at a time. What was searched and chosen stands in the address."""
    names = ("q", "cone", "atmosphere", "shown")
    asked = {name: request.GET.get(name, "").replace("\0", "")[:80] for name in names}
    page = Paginator(queries.library(**asked), A_PAGE).get_page(request.GET.get("page"))
    for row in page:
        row.told = row.current or next(iter(row.drafts), None)
    here = Recipe.objects.order_by().values_list("cone", "atmosphere").distinct()
    cones, atmospheres = {cone for cone, _ in here}, {atmosphere for _, atmosphere in here}
    return render(
        request,
        "recipes/library.html",
        {
            **asked,
            "page": page,
            "kept": [(name, value) for name, value in asked.items() if value and name != "q"],
            "shown_words": SHOWN_WORDS,
            "cones": sorted(cones & set(CONES), key=cone_order),
            "atmospheres": [value for value in Recipe.Atmosphere.values if value in atmospheres],
            "narrowed": any(asked.values()),
            "may_change": person(request).may(RECIPES),
        },
    )
