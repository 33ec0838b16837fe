"""Recipes: versions in order, approved by another person, with whole sets of lines."""

from collections.abc import Iterator

from django.db.models import Count, F, Max, Min, Q

from studio.front.proof.problem import Problem
from studio.recipes.models import Line, Recipe, Version

APPROVED, DRAFT = Version.State.APPROVED, Version.State.DRAFT


def problems() -> Iterator[Problem]:
    yield from _current()
    yield from _decisions()
    yield from _numbers()
    yield from _lines()


def _current() -> Iterator[Problem]:
    wrong = ~Q(current__recipe=F("pk")) | ~Q(current__state=APPROVED)
    for recipe in Recipe.objects.filter(current__isnull=False).filter(wrong):
        yield Problem(f"recipe {recipe}", "has a version in force that is not an approved one of its own.")


def _decisions() -> Iterator[Problem]:
    undecided = Q(decided_at=None) | Q(decided_by=None)
    versions = Version.objects.select_related("recipe")
    for version in versions.exclude(state=DRAFT).filter(undecided):
        yield Problem(str(version), f"is {version.state}, but nobody decided that.")
    for version in versions.filter(~undecided, state=DRAFT):
        yield Problem(str(version), "is a draft that somebody decided on.")
    for version in versions.filter(state=APPROVED, decided_by=F("made_by")):
        yield Problem(str(version), "was approved by the person who made it.")


def _numbers() -> Iterator[Problem]:
    found = Version.objects.order_by().values("recipe__name").annotate(last=Max("number"), count=Count("pk"))
    for row in found.exclude(last=F("count")):
        yield Problem(
            f"recipe {row['recipe__name']}", f"has {row['count']} versions, the last is {row['last']}."
        )


def _lines() -> Iterator[Problem]:
    base = Count("lines", filter=Q(lines__kind=Line.Kind.BASE))
    versions = Version.objects.select_related("recipe").annotate(
        base=base, count=Count("lines"), first=Min("lines__position"), last=Max("lines__position")
    )
    for version in versions.filter(base=0):
        yield Problem(str(version), "has no line in its base.")
    for version in versions.exclude(count=0).filter(~Q(first=1) | ~Q(last=F("count"))):
        said = f"has {version.count} lines numbered {version.first} to {version.last}."  # type: ignore[attr-defined]
        yield Problem(str(version), said)
