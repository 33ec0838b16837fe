"""What every page needs beside its own facts: the bar, and the units of whoever reads."""

from functools import cache
from typing import Any

from django.http import HttpRequest
from django.urls import NoReverseMatch, reverse

ENTRIES = (
    ("today", "Today"),
    ("shelf", "Shelf"),
    ("making", "Making"),
    ("store", "Store"),
    ("recipes", "Recipes"),
    ("binder", "Binder"),
)


@cache
def _places(urlconf: str | None) -> tuple[tuple[str, str], ...]:
    """Address and word of every entry that has an address."""
    places = []
    for name, word in ENTRIES:
        try:
            places.append((reverse(name, urlconf=urlconf), word))
        except NoReverseMatch:
            continue
    return tuple(places)


def _here(path: str, address: str) -> bool:
    return path == address or (address != "/" and path.startswith(address))


def bar(request: HttpRequest) -> dict[str, Any]:
    """The bar's entries for whoever is signed in, and their units; a stranger at a bucket gets metric."""
    person = getattr(request, "user", None)
    if person is None or not person.is_authenticated:
        return {"bar": [], "units": "metric"}
    entries = [
        {"address": address, "word": word, "here": _here(request.path, address)}
        for address, word in _places(getattr(request, "urlconf", None))
    ]
    tablet = getattr(request, "tablet", None)
    return {"bar": entries, "units": person.units, "tablet": tablet if tablet and tablet.room else None}
