"""The long run of a fill: every reading with what was expected of it, by pages, as a chart and as a list."""

import csv
from collections.abc import Iterator
from datetime import datetime
from typing import Any

from django.core.paginator import Paginator
from django.http import HttpRequest, HttpResponseBase, StreamingHttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.utils import timezone

from buckets import happened
from buckets.balance import day
from buckets.calc.history import is_unexplained
from buckets.models import Fill, Reading
from buckets.views.at import units_of
from studio.charts import Dot, Rest
from studio.pages import person
from studio.people import rights
from studio.people.doors import needs
from studio.room.models import Vessel

A_PAGE = 50
HEAD = (
    "when", "sg", "standard uncertainty", "method", "technician's", "litres", "expected sg", "left over",
    "glaze logged as used, L", "written down before it", "said of it", "by", "note",
)  # fmt: skip
FORMULA = ("=", "+", "-", "@", "\t", "\r")  # how a cell begins that a spreadsheet would work out


@needs("see")
def history(request: HttpRequest, code: str) -> HttpResponseBase:
    """All standing readings of the fill in a bucket, newest first; ``?fill=`` an earlier one of it."""
    vessel = get_object_or_404(Vessel, code=code)
    fill = _fill(request, vessel)
    if fill is None:
        return redirect("bucket", code)
    rows = (
        Reading.objects.filter(fill=fill, sg__isnull=False, replaced_by=None)
        .select_related("by", "interval")
        .prefetch_related("explanations")
        .order_by("-at", "-id")
    )
    if request.GET.get("format") == "csv":
        return _csv(fill, rows)
    page = Paginator(rows, A_PAGE).get_page(request.GET.get("page"))
    return render(request, "buckets/history.html", _context(request, fill, page))


def _fill(request: HttpRequest, vessel: Vessel) -> Fill | None:
    number = request.GET.get("fill", "")
    fills = Fill.objects.filter(vessel=vessel)
    if number:
        known = number.isascii() and number.isdigit() and len(number) < 10
        return get_object_or_404(fills, number=int(number) if known else 0)
    return fills.filter(emptied_at=None).first()


def _context(request: HttpRequest, fill: Fill, page: Any) -> dict[str, Any]:
    lines = [_line(fill, row) for row in page]
    in_order = lines[::-1]
    limit, _ = happened.usual(fill, [row.sg for row in page if row.is_check])
    return {
        "code": request.resolver_match.kwargs["code"] if request.resolver_match else "",
        "fill": fill,
        "page": page,
        "lines": lines,
        "dots": [line["dot"] for line in in_order],
        "rests": [line["rest"] for line in in_order if line["rest"]],
        "marks": [mark for line in in_order for mark in line["marks"]][-A_PAGE:],
        "limit": limit,
        "until": page[0].at if page.number > 1 and page.object_list else None,
        "may_make": person(request).may(rights.MAKE),
        "units": units_of(request),
    }


def _line(fill: Fill, row: Reading) -> dict[str, Any]:
    gap = getattr(row, "interval", None)
    said = list(row.explanations.all())
    beyond = gap is not None and is_unexplained(
        gap.residual, count=fill.residual_count, total=fill.residual_sum
    )
    asked = beyond and not said
    marks: list[tuple[datetime, str]] = []
    if gap is not None:
        marks = happened.marks_in([(one["at"], one["what"], one["l"]) for one in gap.logged])
    return {
        "row": row,
        "gap": gap,
        "asked": asked,
        "said": said,
        "marks": marks,
        "dot": Dot(row.at, row.sg or 0, not row.is_check, asked),
        "rest": Rest(row.at, gap.residual, asked) if gap is not None and gap.residual is not None else None,
    }


class _Echo:
    """A file that hands back each line that is written."""

    def write(self, line: str) -> str:
        return line


def _csv(fill: Fill, rows: Any) -> HttpResponseBase:
    name = f"readings-{fill.vessel.code}-{fill.number}.csv"
    answer = StreamingHttpResponse(_written(fill, rows), content_type="text/csv; charset=utf-8")
    answer["Content-Disposition"] = f'attachment; filename="{name}"'
    return answer


def _written(fill: Fill, rows: Any) -> Iterator[str]:
    writer = csv.writer(_Echo())
    yield "\ufeff" + writer.writerow(HEAD)
    for row in rows.iterator(chunk_size=500):
        yield writer.writerow([_plain(cell) for cell in _cells(_line(fill, row))])


def _cells(line: dict[str, Any]) -> list[Any]:
    row, gap = line["row"], line["gap"]
    return [
        timezone.localtime(row.at).strftime("%Y-%m-%d %H:%M"),
        row.sg,
        row.u_sg,
        row.method,
        "yes" if row.is_check else "no",
        row.volume_l,
        gap.predicted_sg if gap else None,
        gap.residual if gap else None,
        gap.used_l if gap else None,
        "; ".join(f"{day(at)} {said}" for at, said in line["marks"]),
        "; ".join(one.get_why_display() for one in line["said"]),
        row.by,
        row.note,
    ]


def _plain(cell: Any) -> Any:
    """Words that look like a formula are marked as words; numbers stay numbers."""
    if isinstance(cell, str) and cell.startswith(FORMULA):
        return f"'{cell}"
    return "" if cell is None else cell
