"""Leach tests: what is on record, one test beside its limits, recorded, corrected, the report handed out."""

from typing import Any

from django.core.paginator import Paginator
from django.http import Http404, HttpRequest, HttpResponse, HttpResponseBase
from django.shortcuts import get_object_or_404, render
from django.urls import reverse

from safety.contact import own_limits, said_of_versions, standing_tests, verdict_alone, verdicts
from safety.contact_tables import careful_elements, limit_sets
from safety.derivation import status_in_words
from safety.documents import handed_out
from safety.forms.contact import LeachTestPageForm, told_again
from safety.models import LeachTest
from safety.operations import contact as acts
from safety.operations.contact import USES
from studio.pages import act_page, bound, person
from studio.people import rights
from studio.people.doors import needs

A_PAGE = 40


@needs(rights.SEE)
def leach_tests(request: HttpRequest) -> HttpResponse:
    """Every test that stands, newest first, with what it comes to today; the limits below."""
    page = Paginator(standing_tests(), A_PAGE).get_page(request.GET.get("page"))
    rows = list(page.object_list)
    context = {
        "page": page,
        "rows": [{"test": row, "verdict": one} for row, one in zip(rows, verdicts(rows), strict=True)],
        "sets": _limits(),
        **_may(request),
    }
    return render(request, "safety/leach_tests.html", context)


def _may(request: HttpRequest) -> dict[str, Any]:
    return {"may": person(request).may(rights.BINDER)}


def _limits() -> list[dict[str, Any]]:
    """Every set of limits with its sources in words, the studio's own first."""
    own = own_limits().key
    sets = sorted(limit_sets().values(), key=lambda one: one.key != own)
    return [
        {
            "set": one,
            "own": one.key == own,
            "status": status_in_words(one.status),
            "rows": [
                {
                    "category": f"{category}: {one.words[category]}",
                    "limit": limit,
                    "status": status_in_words(limit.status),
                }
                for category, limits in one.limits.items()
                for limit in limits
            ],
        }
        for one in sets
    ]


@needs(rights.SEE)
def leach_test(request: HttpRequest, number: int) -> HttpResponse:
    """One test as it was recorded, beside the limits; a corrected one says what replaces it."""
    row = get_object_or_404(_whole(), number=number)
    after = getattr(row, "replaced_by", None)
    said = said_of_versions([row.version_id])[row.version_id]
    of_it = [one for one in said.verdicts if one.test.name == str(row)]
    verdict = of_it[0] if of_it else verdict_alone(row)
    context = {
        "test": row,
        "after": after,
        "verdict": verdict,
        "judged": [one for one in (verdict.own, verdict.other) if one],
        "results": _by_element(row),
        "use": USES.get(row.use, row.use),
        "said": said,
        **_may(request),
    }
    return render(request, "safety/leach_test.html", context)


def _whole() -> Any:
    rows = LeachTest.objects.select_related("version__recipe", "by", "replaces", "replaced_by")
    return rows.prefetch_related("results")


def _by_element(row: LeachTest) -> list[tuple[str, list[Any]]]:
    found: dict[str, list[Any]] = {one.symbol: [] for one in careful_elements()}
    for one in row.results.all():
        found.setdefault(one.element, []).append(one)
    return [(element, rows) for element, rows in found.items() if rows]


@needs(rights.SEE)
def leach_test_file(request: HttpRequest, number: int) -> HttpResponseBase:
    """The laboratory's report, as a download."""
    row = get_object_or_404(LeachTest, number=number)
    if not row.file_digest:
        raise Http404("No report was filed with this test.")
    return handed_out(row.file_digest, str(row))


@needs(rights.BINDER)
def record_leach_test(request: HttpRequest) -> HttpResponse:
    """A new test; more rows keep what was typed and write nothing."""
    asked = request.GET.get("version", "")
    initial = {"limit_set": own_limits().key, "version": asked if asked.isdigit() else None}
    return _told(request, acts.record_leach_test, {}, {"initial": initial}, "recorded")


@needs(rights.BINDER)
def correct_leach_test(request: HttpRequest, number: int) -> HttpResponse:
    """A test told anew; the record that was wrong is kept."""
    row = get_object_or_404(_whole(), number=number)
    return _told(
        request, acts.correct_leach_test, {"test": row}, told_again(row), f"recorded instead of {row}"
    )


def _told(
    request: HttpRequest, do: Any, about: dict[str, Any], shown: dict[str, Any], said: str
) -> HttpResponse:
    return act_page(
        request,
        bound(request, LeachTestPageForm, files=request.FILES or None, **shown),
        do,
        about=about,
        template="safety/record_leach_test.html",
        then=lambda row: reverse("leach-test", args=[row.number]),
        said=lambda row: f"{row} is {said}.",
    )
