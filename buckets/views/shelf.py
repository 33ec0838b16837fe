"""The shelf: every bucket and whether it may be dipped into."""

from dataclasses import dataclass
from datetime import datetime
from typing import Any
from urllib.parse import urlencode

from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.utils import timezone

from buckets.calc.dip import DipCheck
from buckets.models import Fill, Reading
from buckets.queries import dip_check_of, shelf_fills, shown_reading
from studio.pages import person
from studio.people import rights
from studio.people.doors import needs
from studio.recipes.calc.cones import CONES
from studio.room import policy
from studio.room.models import Vessel

ANSWERS = {
    "fit": ("Fit after a stir", ("dip", "stir first")),
    "measure": ("To measure", ("measure first",)),
    "not": ("Not to be used", ("do not use",)),
    "empty": ("Empty", ("",)),
}


@dataclass(frozen=True, kw_only=True)
class Row:
    """One bucket in the list; without a fill only the vessel says something."""

    vessel: Vessel
    fill: Fill | None
    check: DipCheck | None = None
    reading: Reading | None = None
    depth_cm: float | None = None

    @property
    def answer(self) -> str:
        return self.check.answer if self.check else ""

    def says(self, text: str) -> bool:
        """Whether the bucket, its glaze, look or one of its materials has this text in it."""
        said = [self.vessel.code, self.vessel.place]
        if self.fill:
            said += [self.fill.glaze, self.fill.look, f"cone {self.fill.cone}", self.fill.atmosphere]
            said += [str(entry.get("material", "")) for entry in self.fill.contents]
        return all(word in " ".join(said).casefold() for word in text.casefold().split())


@needs("see")
def shelf(request: HttpRequest) -> HttpResponse:
    """Every vessel in service; search and filters stand in the address."""
    rows = _rows(timezone.now())
    q, cone, answer = (request.GET.get(name, "").strip()[:80] for name in ("q", "cone", "answer"))
    shown = [row for row in rows if _fits(row, q, cone, answer)]
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
    rules = policy.in_force()
    rows = []
    for there in shelf_fills():
        if there.fill is None:
            rows.append(Row(vessel=there.vessel, fill=None))
            continue
        check = dip_check_of(there.fill, now, rules)
        rows.append(
            Row(
                vessel=there.vessel,
                fill=there.fill,
                check=check,
                reading=shown_reading(there.fill, check) or there.fill.check_reading,
                depth_cm=depth_of(there.fill),
            )
        )
    return rows


def depth_of(fill: Fill) -> float:
    """Depth in cm for the dip stick; what is over the brim on paper stands at the brim."""
    vessel = fill.vessel
    return vessel.depth_of_cm(min(float(fill.volume_l), vessel.brim_l()))


def _fits(row: Row, q: str, cone: str, answer: str) -> bool:
    if q and not row.says(q):
        return False
    if cone and (row.fill is None or row.fill.cone != cone):
        return False
    return answer not in ANSWERS or row.answer in ANSWERS[answer][1]


def _in_words(rows: list[Row], shown: list[Row]) -> str:
    """``8 of 14 buckets · 5 fit after a stir · 2 to measure · 1 not to be used``."""
    count = {name: sum(row.answer in words for row in shown) for name, (_, words) in ANSWERS.items()}
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
