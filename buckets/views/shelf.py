"""The shelf: every bucket and whether it may be dipped into."""

from datetime import datetime
from decimal import Decimal
from functools import lru_cache
from typing import Any, NamedTuple
from urllib.parse import urlencode

from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.template.loader import render_to_string
from django.utils import timezone

from buckets.queries import FillRow, VesselRow, depth_in, dip_check_of_row, materials_in, shelf_fills
from studio import words
from studio.pages import person
from studio.people import rights
from studio.people.doors import needs
from studio.recipes.calc.cones import CONES
from studio.room import policy
from studio.room.models import Vessel
from studio.room.policy import Policy

FIT = ("dip", "stir first")
ANSWERS = {
    "fit": ("Fit after a stir", FIT),
    "measure": ("To measure", ("measure first",)),
    "not": ("Not to be used", ("do not use",)),
    "empty": ("Empty", ("",)),
}


class Row(NamedTuple):
    """One bucket in the list: what it is, its answer ("" when empty), and its line as it is shown."""

    vessel: VesselRow
    fill: FillRow | None
    answer: str
    line: str


@needs("see")
def shelf(request: HttpRequest) -> HttpResponse:
    """Every vessel in service; search and filters stand in the address."""
    rows = _rows(timezone.now())
    q, cone, answer = (request.GET.get(name, "").strip()[:80] for name in ("q", "cone", "answer"))
    shown = [row for row in rows if _fits(row, cone, answer)]
    if q:
        shown = _that_say(q, shown)
    context = {
        "rows": shown,
        "all": rows,
        "said": _in_words(rows, shown),
        "chips": _chips(rows, q=q, cone=cone, answer=answer),
        "q": q,
        "cone": cone,
        "answer": answer,
        "may_make": person(request).may(rights.MAKE),
    }
    return render(request, "buckets/shelf.html", context)


def _rows(now: datetime) -> list[Row]:
    rules, here = policy.in_force(), timezone.localtime(now)
    return [_row(there.vessel, there.fill, now, here, rules) for there in shelf_fills()]


def _row(vessel: VesselRow, fill: FillRow | None, now: datetime, here: datetime, rules: Policy) -> Row:
    if fill is None:
        return Row(vessel, None, "", _empty_line(vessel))
    depth_cm = _depth_cm(vessel, fill.volume_l)
    check = dip_check_of_row(fill, depth_cm, now, rules)
    by_member = check.by == "member"
    sg, at = (fill.member_sg, fill.member_at) if by_member else (fill.check_sg, fill.check_at)
    shallow = bool(check.notes) and check.answer in FIT
    times = tuple(_ago(moment, here) for moment in (at, fill.stirred_at, vessel.seen_at))
    line = _line(vessel, fill, check.answer, shallow, sg, at, *times)
    return Row(vessel, fill, check.answer, line)


def _ago(moment: datetime | None, here: datetime) -> str:
    return words.ago(moment.astimezone(here.tzinfo), here) if moment else words.NONE


@lru_cache(maxsize=1000)
def _line(
    vessel: VesselRow,
    fill: FillRow,
    answer: str,
    shallow: bool,
    sg: Decimal | None,
    measured_at: datetime | None,
    measured: str,
    stirred: str,
    seen: str,
) -> str:
    """One line of the list. The same facts make the same line, so most lines are made once a minute."""
    context = {
        "vessel": vessel,
        "fill": fill,
        "answer": answer,
        "shallow": shallow,
        "sg": sg,
        "measured_at": measured_at,
        "measured": measured,
        "stirred": stirred,
        "seen": seen,
        "depth_cm": _depth_cm(vessel, fill.volume_l),
    }
    return render_to_string("buckets/_shelf_line.html", context)


@lru_cache(maxsize=1000)
def _empty_line(vessel: VesselRow) -> str:
    return render_to_string("buckets/_shelf_empty_line.html", {"vessel": vessel})


@lru_cache(maxsize=1000)
def _depth_cm(vessel: VesselRow, volume_l: Decimal) -> float:
    sizes = {name: getattr(vessel, name) for name in VesselRow._fields[3:]}
    return depth_in(Vessel(**sizes), volume_l)


def _fits(row: Row, cone: str, answer: str) -> bool:
    if cone and (row.fill is None or row.fill.cone != cone):
        return False
    return answer not in ANSWERS or row.answer in ANSWERS[answer][1]


def _that_say(text: str, rows: list[Row]) -> list[Row]:
    """Those whose bucket, place, glaze, look, firing or materials have every word of the text in them."""
    materials = materials_in(row.fill.id for row in rows if row.fill)
    wanted = text.casefold().split()
    return [row for row in rows if all(word in _said(row, materials) for word in wanted)]


def _said(row: Row, materials: dict[int, str]) -> str:
    said = [row.vessel.code, row.vessel.place]
    if row.fill:
        fill = row.fill
        said += [fill.glaze, fill.look, f"cone {fill.cone}", fill.atmosphere, materials.get(fill.id, "")]
    return " ".join(said).casefold()


def _in_words(rows: list[Row], shown: list[Row]) -> str:
    """``8 of 14 buckets · 5 fit after a stir · 2 to measure · 1 not to be used``."""
    count = {name: sum(row.answer in answers for row in shown) for name, (_, answers) in ANSWERS.items()}
    buckets = f"{len(shown)} of {len(rows)} buckets" if len(shown) != len(rows) else _many(len(rows))
    parts = [
        buckets,
        f"{count['fit']} fit after a stir",
        f"{count['measure']} to measure" if count["measure"] else "",
        f"{count['not']} not to be used" if count["not"] else "",
        f"{count['empty']} empty" if count["empty"] else "",
    ]
    return " · ".join(part for part in parts if part)


def _many(count: int) -> str:
    return f"{count} bucket{'' if count == 1 else 's'}"


def _chips(rows: list[Row], **now: str) -> list[dict[str, Any]]:
    """Filters as links: the answers, and the cones there are on the shelf; each keeps the others."""
    cones = {row.fill.cone for row in rows if row.fill and row.fill.cone}
    chips = [_chip(f"All {len(rows)}", now, answer="", cone="")]
    chips += [
        _chip(word, now, answer=name)
        for name, (word, answers) in ANSWERS.items()
        if any(row.answer in answers for row in rows) or now["answer"] == name
    ]
    chips += [
        _chip(f"Cone {cone}", now, cone=cone)
        for cone in sorted(cones, key=lambda c: (c not in CONES, _order(c)))
    ]
    return chips


def _order(cone: str) -> int:
    return CONES.index(cone) if cone in CONES else 0


def _chip(word: str, now: dict[str, str], **change: str) -> dict[str, Any]:
    """One filter. Pressed again it is taken off, unless it is "all", which takes every one off."""
    here = all(now[name] == value for name, value in change.items())
    off = dict.fromkeys(change, "") if here else change
    kept = {name: value for name, value in {**now, **off}.items() if value}
    return {"word": word, "address": f"?{urlencode(kept)}", "here": here}
