"""What stands of the classifications on file, and which labels say less than is known."""

from collections.abc import Iterable, Mapping
from typing import Any

from django.db.models import Max, OuterRef, QuerySet, Subquery, Value
from django.db.models.functions import Coalesce

from safety.classifying import studio_law
from safety.mixes import Mix, digest, from_plain, mix_of_material, mix_of_version
from safety.models import Classification, Container, Label, Sheet
from safety.statements import printed_codes
from studio.materials.models import Material
from studio.recipes.models import Line, Version
from studio.room.models import Details


def standing(mix: Mix, law: str | None = None) -> Classification | None:
    """The newest classification of ``mix`` on file under a law (the studio's own unless named), or None."""
    return newest([digest(mix)], law or studio_law()).get(digest(mix))


OWN_LAW = Coalesce(Subquery(Details.objects.order_by("-id").values("law")[:1]), Value(Details.Law.EU.value))


def newest(digests: Iterable[str], law: str | None = None) -> dict[str, Classification]:
    """The newest classification by the digest of its mixture, by the studio's law unless named: one query."""
    rows = Classification.objects.filter(mix_digest__in=list(digests), law=law or OWN_LAW).order_by()
    last = rows.values("mix_digest").annotate(last=Max("number")).values("last")
    return {row.mix_digest: row for row in Classification.objects.filter(number__in=last)}


def every_label_in_force() -> list[Label]:
    """Every label in force with the classification it was printed from: one query."""
    rows = Label.objects.exclude(state=Label.State.VOID).select_related("classification")
    return list(rows.order_by("serial"))


def labels_out_of_date(labels: Iterable[Label] | None = None) -> list[Label]:
    """Labels in force that do not say what is known now, the gravest first, in at most three queries.

    Each carries ``now`` (the classification that stands, or None) and ``reasons`` (sentences). ``labels``:
    those in force, where they are read already.
    """
    known: list[Any] = list(every_label_in_force() if labels is None else labels)
    law = studio_law()
    compare(
        known, newest({label.classification.mix_digest for label in known if label.classification}, law), law
    )
    found = [label for label in known if label.reasons]
    return sorted(found, key=lambda label: (not _graver(label), label.serial))


def compare(labels: Iterable[Any], found: Mapping[str, Classification], law: str) -> None:
    """Tell each label ``now``, what stands of its mixture among ``found``, and ``reasons`` to print anew."""
    for label in labels:
        label.now = found.get(label.classification.mix_digest) if label.classification else None
        label.reasons = reasons(label.classification, label.now, law)


def newer_than_label() -> QuerySet[Classification]:
    """For a query of labels: the classifications that have replaced the one a label was printed from."""
    return Classification.objects.filter(
        mix_digest=OuterRef("classification__mix_digest"),
        law=OuterRef("classification__law"),
        number__gt=OuterRef("classification__number"),
    )


def reasons(printed: Classification | None, now: Classification | None, law: str) -> list[str]:
    """Why a label printed from one classification is out of date beside the one that stands; else nothing."""
    if printed is None:
        return ["It was printed before its contents were classified."]
    if printed.law != law:
        return [f"It follows the rules of {printed.law}; the studio is under {law}."]
    if now is None or now.pk == printed.pk:
        return []
    return _differences(printed, now) or ["What it rests on has changed; the hazards it names have not."]


def _differences(printed: Classification, now: Classification) -> list[str]:
    old, new = printed.result["label"], now.result["label"]
    said = []
    before, after = (label.get("signal_word") or "none" for label in (old, new))
    if before != after:
        said.append(f"Signal word: {before}, now {after}.")
    for name, words in (("h_codes", "Hazard statements"), ("pictograms", "Pictograms"), ("euh", "EUH")):
        more, less = _beside(_shown(old, name, printed.law), _shown(new, name, now.law))
        if more or less:
            said.append(f"{words}: {'; '.join(part for part in (more, less) if part)}.")
    if now.missing and not printed.missing:
        said.append("A part of it is not classified any more.")
    gone, come = _sheets(printed) - _sheets(now), _sheets(now) - _sheets(printed)
    if gone or come:
        said.append(f"Sheets: {_listed(gone)}, now {_listed(come)}.")
    return said


def _shown(label: Mapping[str, Any], name: str, law: str) -> list[str]:
    return printed_codes(label.get(name, ()), law)


def _beside(old: Iterable[str], new: Iterable[str]) -> tuple[str, str]:
    more = [code for code in new if code not in set(old)]
    less = [code for code in old if code not in set(new)]
    return (
        f"{', '.join(more)} new" if more else "",
        f"{', '.join(less)} no longer" if less else "",
    )


def _listed(names: set[str]) -> str:
    return ", ".join(sorted(names)) or "none"


def _sheets(row: Classification) -> set[str]:
    return {sheet["number"] for material in row.inputs["materials"] for sheet in material["sheets"]}


def _graver(label: Any) -> bool:
    """Whether what stands now says more than the label does."""
    if label.classification is None or label.now is None:
        return True
    old, new = (set(row.result["label"]["h_codes"]) for row in (label.classification, label.now))
    return bool(new - old) or (label.now.missing and not label.classification.missing)


def mixes_with(material: Material | None) -> tuple[dict[str, tuple[Mix, str]], dict[str, set[str]]]:
    """Every mixture that stands and holds ``material`` (None: every one), by digest, with its name; and the
    laws asked for.

    Bags whose sheet is on file; versions in force; versions that were classified; what labels in force and
    tubs in use say is in them.
    """
    lines, sheets = Line.objects.all(), Sheet.objects.filter(replaced_by=None)
    if material is not None:
        lines, sheets = lines.filter(material=material), sheets.filter(material=material)
    versions = set(lines.values_list("version_id", flat=True))
    found: dict[str, tuple[Mix, str]] = {}
    for pk, name in sheets.values_list("material_id", "material__name"):
        mix = mix_of_material(pk)
        found[digest(mix)] = (mix, name)
    for version in Version.objects.filter(pk__in=versions, recipe__current_id__in=versions).select_related(
        "recipe"
    ):
        if version.recipe.current_id == version.pk:
            mix = mix_of_version(version)
            found[digest(mix)] = (mix, str(version))
    for plain, what in _standing_mixes(versions):
        mix = from_plain(plain)
        if material is None or material.pk in mix.materials or versions & set(mix.versions):
            found.setdefault(digest(mix), (mix, what))
    asked: dict[str, set[str]] = {}
    rows = Classification.objects.filter(mix_digest__in=list(found)).order_by()
    for key, law in rows.values_list("mix_digest", "law").distinct():
        asked.setdefault(key, set()).add(law)
    return found, asked


def _standing_mixes(versions: Iterable[int]) -> Iterable[tuple[list[Mapping[str, Any]], str]]:
    """Mixtures of labels in force, of tubs in use, and of versions by themselves that were classified."""
    in_force = Label.objects.exclude(state=Label.State.VOID).exclude(classification=None)
    yield from in_force.values_list("classification__mix", "classification__what")
    yield from Container.objects.filter(gone_at=None).exclude(mix=[]).values_list("mix", "what")
    alone = {digest(mix_of_version(pk)) for pk in versions}
    rows = Classification.objects.filter(mix_digest__in=alone).order_by("number")
    yield from rows.values_list("mix", "what")
