"""Addresses of pages by their names, each put together once: a long list needs the same ones every time."""

from functools import lru_cache
from typing import Any

from django.urls import get_urlconf, reverse


def address(name: str, *args: Any) -> str:
    """Where the page called ``name`` is; NoReverseMatch when there is none."""
    return _reversed(get_urlconf(), name, args)


@lru_cache(maxsize=8192)
def _reversed(urlconf: str | None, name: str, args: tuple[Any, ...]) -> str:
    return reverse(name, urlconf=urlconf, args=args)
