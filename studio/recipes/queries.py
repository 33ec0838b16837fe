"""What is asked of the recipes."""

from django.db.models import Exists, OuterRef, Prefetch, Q, QuerySet

from studio.errors import Refused
from studio.people import rights
from studio.people.models import Entry, Member
from studio.people.models.members import Role
from studio.recipes.models import Line, Recipe, Version

MOST_TOLD = 40  # entries of a story


def library(*, q: str = "", cone: str = "", atmosphere: str = "", shown: str = "") -> QuerySet[Recipe]:
    """Recipes by name, look or a material in the version in force; ``shown`` is a key of ``SHOWN``."""
    drafts = Version.objects.filter(state=Version.State.DRAFT).order_by("-number")
    found = Recipe.objects.select_related("current").prefetch_related(
        Prefetch("versions", queryset=drafts, to_attr="drafts")
    )
    found = found.filter(SHOWN.get(shown, SHOWN[""]))
    if cone:
        found = found.filter(cone=cone)
    if atmosphere:
        found = found.filter(atmosphere=atmosphere)
    for word in q.split()[:6]:
        with_material = Line.objects.filter(version=OuterRef("current"), material__name__icontains=word)
        found = found.filter(Q(name__icontains=word) | Q(look__icontains=word) | Exists(with_material))
    return found.order_by("name", "id")


_HAS_DRAFT = Q(Exists(Version.objects.filter(recipe=OuterRef("pk"), state=Version.State.DRAFT)))
_IN_USE = Q(state=Recipe.State.CURRENT)
SHOWN: dict[str, Q] = {
    "": _IN_USE,
    "in-force": _IN_USE & Q(current__isnull=False),
    "draft": _IN_USE & _HAS_DRAFT,
    "retired": Q(state=Recipe.State.RETIRED),
}


def recipes_to_ask_for() -> QuerySet[Recipe]:
    """Recipes in use that have an approved version: nothing else can be asked for."""
    return Recipe.objects.filter(SHOWN["in-force"]).select_related("current").order_by("name")


def version_to_make(recipe: Recipe) -> Version:
    """The approved version that a new batch is made of. Refused where there is none, or it is retired."""
    if recipe.state == Recipe.State.RETIRED:
        raise Refused(f"{recipe.name} is retired, so no more of it is made.", field="recipe")
    if recipe.current is None:
        raise Refused(
            f"{recipe.name} has no approved version yet, so it can't be asked for. "
            "A technician who did not make the draft approves it.",
            field="recipe",
        )
    return recipe.current


def versions_of(recipe: Recipe) -> list[Version]:
    """Every version, newest first, with who made and decided it and with its lines: three queries."""
    lines = Line.objects.select_related("material").order_by("position")
    versions = recipe.versions.select_related("made_by", "decided_by").order_by("-number")
    return list(versions.prefetch_related(Prefetch("lines", queryset=lines)))


def approvers() -> list[Member]:
    """Everybody here with the right to approve a version (all but its maker may): one query."""
    roles = [role for role in Role.values if rights.RECIPES in rights.of_role(role)]
    return list(Member.objects.filter(is_active=True, role__in=roles).order_by("name"))


def story_of(recipe: Recipe, versions: list[Version]) -> list[Entry]:
    """The last entries about a recipe or one of its versions, newest first: one query."""
    about_recipe = Q(about_kind=Recipe._meta.label_lower, about_id=recipe.pk)
    about_version = Q(about_kind=Version._meta.label_lower, about_id__in=[v.pk for v in versions])
    entries = Entry.objects.filter(about_recipe | about_version).select_related("by")
    return list(entries.order_by("-id")[:MOST_TOLD])
