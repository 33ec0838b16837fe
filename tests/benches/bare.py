"""Bare pages: what a page costs before it thinks, served beside the real ones and by the same process.

A bare page passes the same middleware and session, sends the very SQL that the real page sent when it was
looked at once, fetches every row, and prints as many cells and about as many bytes in one plain loop.
"""

import re
import time
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from statistics import median
from typing import Any
from urllib.parse import urlencode

from django.contrib.auth import login
from django.db import connection
from django.db.models import Count
from django.http import HttpRequest, HttpResponse, JsonResponse
from django.template import engines
from django.test import Client
from django.utils import timezone

from buckets import queries
from buckets.models import Fill
from buckets.views import bucket, shelf
from buckets.views.parts import happened
from studio import addresses, drawings, words
from studio.calc import gravity
from studio.people.doors import needs, open_to_all
from studio.people.models.members import Member, Role
from studio.room import policy
from studio.templatetags import look

Sent = list[tuple[str, Any]]
LOOP = engines["django"].from_string("<table>{% for cell in cells %}<td>{{ cell }}</td>{% endfor %}</table>")
KEPT = (
    *(shelf._line, shelf._empty_line, shelf._depth_cm, bucket._story_line),
    *(happened._drawn, happened._litres),
    *(drawings.dipstick, drawings.sg_scale, look._local, gravity.verdict, words.number, addresses._reversed),
)
ROUND_CELL = len("<td></td>")


@dataclass(frozen=True, kw_only=True)
class Seen:
    """What a real page did: every query of its request, those of its own view, and what it printed."""

    queries: int
    sql: Sent
    cells: int
    size: int


_SEEN: dict[str, Seen] = {}


@needs("see")
def bare(request: HttpRequest, of: str) -> HttpResponse:
    """The bare page of an address."""
    seen = _seen(request, request.get_full_path().removeprefix("/bare"))
    with connection.cursor() as cursor:
        for sql, arguments in seen.sql:
            cursor.execute(sql, arguments)
            cursor.fetchall()
    filled = "x" * max(seen.size // seen.cells - ROUND_CELL, 1)
    return HttpResponse(LOOP.render({"cells": [filled] * seen.cells}))


@needs("see")
def nothing(request: HttpRequest) -> HttpResponse:
    """What middleware and session cost alone."""
    return HttpResponse()


@needs("see")
def forget(request: HttpRequest) -> HttpResponse:
    """Drop every drawing, line and address that the pages have kept from earlier answers."""
    for kept in KEPT:
        kept.cache_clear()
    return HttpResponse()


@needs("see")
def facts(request: HttpRequest) -> JsonResponse:
    """What was seen of the page whose address is in ``of``."""
    seen = _seen(request, request.GET["of"])
    return JsonResponse({"queries": seen.queries, "cells": seen.cells, "bytes": seen.size})


@needs("see")
def dip(request: HttpRequest) -> JsonResponse:
    """The dip checks of every bucket alone: milliseconds for all of them, and the queries they add.

    ``anew``: verdicts kept of earlier answers are forgotten before each turn.
    """
    rules, now, there = policy.in_force(), timezone.now(), queries.shelf_fills()
    turns, anew = int(request.GET.get("turns", 30)), "anew" in request.GET
    taken = []
    with _sent() as sent:
        for _ in range(turns):
            if anew:
                gravity.verdict.cache_clear()
                shelf._depth_cm.cache_clear()
            start = time.perf_counter_ns()
            for one in there:
                if one.fill is not None:
                    depth_cm = shelf._depth_cm(one.vessel, one.fill.volume_l)
                    queries.dip_check_of_row(one.fill, depth_cm, now, rules)
            taken.append((time.perf_counter_ns() - start) / 1e6)
    checked = sum(one.fill is not None for one in there)
    return JsonResponse({"buckets": checked, "queries": len(sent), "ms": median(taken)})


@open_to_all
def sign_in(request: HttpRequest) -> HttpResponse:
    """Sign in as a technician, to whom the pages show most."""
    technician = Member.objects.filter(role=Role.TECHNICIAN, is_active=True).order_by("pk")[0]
    login(request, technician, backend="django.contrib.auth.backends.ModelBackend")
    return HttpResponse()


@needs("see")
def pages(request: HttpRequest) -> JsonResponse:
    """The addresses to measure: the shelf, a bucket with a long story, asking to bring it up, worked out."""
    return JsonResponse({"shelf": "/shelf/", **_of_a_bucket(request)})


def _of_a_bucket(request: HttpRequest) -> dict[str, str]:
    """Of the buckets in use that can be brought up, the one with the most readings."""
    rules = policy.in_force()
    in_use = Fill.objects.filter(state=Fill.State.IN_USE, held_at=None).exclude(recipe__current=None)
    read_most = in_use.annotate(read=Count("readings")).order_by("-read", "vessel__code")
    for fill in read_most.select_related("vessel", "recipe"):
        litres = int(fill.vessel.limit_l(rules.fill_limit_pct))
        wish = {"wish": "bring to", "vessel": fill.vessel.code, "version": fill.recipe.current_id}
        ask = "/making/ask/?" + urlencode({**wish, "litres_0": litres, "litres_1": "L"})
        if b"Send it" in _client(request).get(ask).content:
            start = "/making/ask/?" + urlencode({"wish": "bring to", "vessel": fill.vessel.code})
            return {"bucket": f"/shelf/{fill.vessel.code}/", "ask": start, "ask, worked out": ask}
    raise LookupError("No bucket in use can be brought up.")


# --- looking at a real page once


def _client(request: HttpRequest) -> Client:
    client = Client(headers={"host": request.get_host()})
    client.cookies.load(request.COOKIES)
    return client


def _seen(request: HttpRequest, address: str) -> Seen:
    if address not in _SEEN:
        _SEEN[address] = _look(request, address)
    return _SEEN[address]


def _look(request: HttpRequest, address: str) -> Seen:
    client = _client(request)
    client.get(address)  # what is made once per process is made now
    with _sent() as all_sent:
        answer = client.get(address)
    if answer.status_code != 200:
        raise LookupError(f"{address} answers {answer.status_code}.")
    with _sent() as of_middleware:
        client.get("/bench/nothing/")
    said_anyway = {sql for sql, _ in of_middleware}
    return Seen(
        queries=len(all_sent),
        sql=[(sql, arguments) for sql, arguments in all_sent if sql not in said_anyway],
        cells=_pieces(answer.content.decode()),
        size=len(answer.content),
    )


def _pieces(page: str) -> int:
    """How many pieces of text stand on a page: what the bare page prints as a cell each."""
    return sum(1 for text in re.split(r"<[^>]*>", page) if text.strip())


@contextmanager
def _sent() -> Iterator[Sent]:
    sent: Sent = []

    def note(execute: Any, sql: str, arguments: Any, many: bool, context: Any) -> Any:
        sent.append((sql, arguments))
        return execute(sql, arguments, many, context)

    with connection.execute_wrapper(note):
        yield sent
