"""What is missing, out of date or not known, the gravest first: each with why and where it is seen to."""

from collections.abc import Iterator
from dataclasses import dataclass
from datetime import date, timedelta
from typing import Any

from django.urls import reverse
from django.utils import timezone

from buckets.models import Fill
from safety.models import Container, SafetyCheck, Sheet
from safety.operations.labels import expired, waits
from studio.calc.days import said_day
from studio.front.inspection.facts import Facts, OfMaterial, OfPerson, known_of
from studio.people.models import SignOff
from studio.people.models.members import Role
from studio.room.details import gaps as lacking

SOON = timedelta(days=30)
LET_THROUGH = "Weighed without a current sheet"
LACKS = "What the sheets lack"
NOT_CLASSIFIED = "What is not classified"
HEADS = (
    "Sheets",
    NOT_CLASSIFIED,
    "Labels",
    "Leach tests",
    LACKS,
    LET_THROUGH,
    "Checks",
    "Spills and injuries",
    "People",
    "The studio",
)


@dataclass(frozen=True, kw_only=True)
class Gap:
    """One gap: under which head, what it is of, why it is one, and the address where it is seen to."""

    head: str
    what: str
    why: str
    address: str = ""


def gaps_in(facts: Facts) -> dict[str, list[Gap]]:
    """Every gap there is, by head in the order of ``HEADS``; heads without one are left out."""
    found = [
        *(gap for one in facts.materials for gap in _sheets(one, facts)),
        *_acknowledged(facts),
        *_materials(facts),
        *_glazes(facts),
        *_not_known(facts),
        *_labels(facts),
        *_unlabelled(facts),
        *_leach_tests(facts),
        *_checks(facts),
        *_incidents(facts),
        *(gap for person in facts.people for gap in _person(person, facts)),
        *_studio(facts),
    ]
    by_head = {head: [gap for gap in found if gap.head == head] for head in HEADS}
    return {head: gaps for head, gaps in by_head.items() if gaps}


# --- sheets and classes


def _sheets(one: OfMaterial, facts: Facts) -> Iterator[Gap]:
    name, address = one.material.name, reverse("binder-material", args=[one.material.pk])
    if one.state.word != "current":
        yield Gap(head="Sheets", what=f"{name}: {one.state.word}", why=one.state.sentence, address=address)
    for sheet in one.sheets:
        if lacking := _lacks(sheet, facts.details.law):
            why = f"{'; '.join(lacking)}."
            yield Gap(head=LACKS, what=f"{name}, {sheet}", why=why[:1].upper() + why[1:], address=address)


def _lacks(sheet: Any, law: str) -> list[str]:
    """What a person would look for in vain on this sheet's page."""
    if sheet.kind == Sheet.Kind.TABLE:
        return []  # the material is missing its sheet, which is said already
    found = [] if sheet.file_digest else ["its PDF is not here"]
    if sheet.kind == Sheet.Kind.SHEET:
        if not sheet.emergency_phone:
            found.append("no emergency number is copied")
        if not sheet.language:
            found.append("its language is not said")
        if sheet.not_copied:
            listed = ", ".join(map(str, sheet.not_copied))
            found.append(f"section{'s' if len(sheet.not_copied) > 1 else ''} {listed} not copied")
    if sheet.law != law:
        found.append(f"it is written for {sheet.get_law_display()}, the studio is under {law}")
    return found


def _acknowledged(facts: Facts) -> Iterator[Gap]:
    for row in facts.acknowledged:
        yield Gap(
            head=LET_THROUGH,
            what=f"{row.name}, {said_day(timezone.localdate(row.at))}",
            why=f"{row.also}: {row.more}",
            address=reverse("binder-material", args=[row.ref]),
        )


def _materials(facts: Facts) -> Iterator[Gap]:
    """Materials that are not wholly classified, and those where something was assumed."""
    for one in facts.materials:
        what, why = one.material.name, ""
        if one.found is None:
            why = "Nothing is known of it: treat it as hazardous dust."
        elif one.found.missing:
            why = " ".join(one.found.inputs["missing"])
        elif one.not_known:
            why = "What is known of it is from a sheet that counts as missing: treat it as hazardous dust."
        elif one.found.assumed:
            what, why = f"{what}: assumed", " ".join(one.found.inputs["assumed"])
        if why:
            address = reverse("binder-material", args=[one.material.pk])
            yield Gap(head=NOT_CLASSIFIED, what=what, why=why, address=address)


def _glazes(facts: Facts) -> Iterator[Gap]:
    """Recipes in force that are not wholly classified; what was assumed of them stands at their materials."""
    for row, found in facts.glazes:
        why = " ".join(facts.not_known_of(found)) if found else "It was never classified."
        if why:
            what, address = f"{row.name}, version {row.number}", reverse("version-hazards", args=[row.ref])
            yield Gap(head=NOT_CLASSIFIED, what=what, why=why, address=address)


# --- labels


def _labels(facts: Facts) -> Iterator[Gap]:
    for label in facts.labels:
        what = f"{label.serial} on {label.on_what}" if label.on_what else label.serial
        if label.reasons:
            why, address = " ".join(label.reasons), reverse("labels-out-of-date")
            yield Gap(head="Labels", what=f"{what}: out of date", why=why, address=address)
        if waits(label):
            late = expired(label, facts.now, facts.rules)
            why = "Printed, and not scanned where it belongs" + (": it has expired." if late else " yet.")
            address = reverse("label", args=[label.serial])
            yield Gap(head="Labels", what=f"{what}: not put on", why=why, address=address)


def _not_known(facts: Facts) -> Iterator[Gap]:
    """What bears a label in force and is of a mixture not wholly known."""
    for label in facts.labels:
        found = known_of(label)
        why = " ".join(facts.not_known_of(found)) if found else ""
        if why:
            what = f"{label.serial} on {label.on_what}" if label.on_what else label.serial
            yield Gap(
                head=NOT_CLASSIFIED, what=what, why=why, address=reverse("label-sheet", args=[label.serial])
            )


def _unlabelled(facts: Facts) -> Iterator[Gap]:
    """What stands about without any label in force."""
    borne = {(label.on_kind, label.on_id) for label in facts.labels}
    kinds = {"fill": Fill._meta.label_lower, "container": Container._meta.label_lower}
    for row in facts.bearers:
        if (kinds[row.kind], row.number) in borne:
            continue
        bucket = row.kind == "fill"
        what = f"{row.ref} {row.name}" if bucket else row.name
        address = reverse("bucket" if bucket else "container", args=[row.ref])
        yield Gap(head="Labels", what=f"{what}: no label", why="None is in force for it.", address=address)


def _leach_tests(facts: Facts) -> Iterator[Gap]:
    """Glazes all of whose tests have run out. One never tested is no gap: its label says so."""
    counts = {test.version for test in facts.leach_tests if test.until >= facts.today}
    for test in facts.leach_tests:
        if test.version not in counts:
            why = f"It counted until {said_day(test.until)}, and none that counts is on record."
            address = reverse("leach-test", args=[test.number])
            yield Gap(head="Leach tests", what=f"{test} of {test.name}", why=why, address=address)


# --- checks, spills, people, the studio


def due_on(kind: str, last: date, facts: Facts) -> date:
    """The day by which a check of this kind is to be done again, by the studio's own rule."""
    return last + timedelta(days=int(getattr(facts.rules, f"{kind}_days")))


def _checks(facts: Facts) -> Iterator[Gap]:
    done, address = {row.ref for row in facts.checks}, reverse("checks")
    for kind, word in SafetyCheck.Kind.choices:
        if kind not in done:
            days = int(getattr(facts.rules, f"{kind}_days"))
            every = "day" if days == 1 else f"{days} days"
            why = f"No check is on record; the studio's own rule is every {every}."
            yield Gap(head="Checks", what=str(word).capitalize(), why=why, address=address)
    for row in facts.checks:
        last = timezone.localdate(row.at)
        due = due_on(row.ref, last, facts)
        what = SafetyCheck.Kind(row.ref).label.capitalize() + (f", {row.name}" if row.name else "")
        if not row.flag:
            why = f"Found not good on {said_day(last)}: {row.more or 'no words'}."
            yield Gap(head="Checks", what=what, why=why, address=address)
        if due < facts.today:
            why = f"Last {said_day(last)}, due by {said_day(due)}."
            yield Gap(head="Checks", what=what, why=why, address=address)


def _incidents(facts: Facts) -> Iterator[Gap]:
    for kind, several in (("injury", "injuries"), ("spill", "spills")):  # their pages are called so, too
        still = sum(row.flag or 0 for row in facts.incidents if row.ref == kind)
        if still:
            what = f"{still} open {several if still > 1 else kind}"
            why, address = "Nothing on record closes it.", reverse(several)
            yield Gap(head="Spills and injuries", what=what, why=why, address=address)


def _person(person: OfPerson, facts: Facts) -> Iterator[Gap]:
    address = reverse("people")
    for kind, until in person.sign_offs:
        if until is None:
            why = f"{kind}: given without a last day."
        elif until < facts.today:
            why = f"{kind}: ended {said_day(until)}."
        elif until <= facts.today + SOON:
            why = f"{kind}: ends {said_day(until)}."
        else:
            continue
        yield Gap(head="People", what=person.name, why=why, address=address)
    held = {kind for kind, until in person.sign_offs if until is None or until >= facts.today}
    if person.role == Role.TECHNICIAN and SignOff.Kind.HAZARDOUS not in held:
        why = "A technician without a sign-off in force for hazardous materials: no training is on record."
        yield Gap(head="People", what=person.name, why=why, address=address)


def _studio(facts: Facts) -> Iterator[Gap]:
    """What labels and the pack cannot say of the studio itself."""
    for sentence in lacking(facts.details):
        what, _, why = sentence.partition(": ")
        address = reverse("change-details")
        yield Gap(
            head="The studio", what=f"{what}: not said", why=f"{why[:1].upper()}{why[1:]}", address=address
        )
