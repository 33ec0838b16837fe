"""The pack as a reader meets it, on the page and on paper alike."""

from collections.abc import Iterator
from typing import Any

from django.utils import timezone

from safety.calc.mixture import RULES_OF_LAW
from safety.models import Classification, Container, Label, SafetyCheck
from studio.calc.days import said_day
from studio.front.inspection.facts import Facts, OfMaterial, known_of
from studio.front.inspection.gaps import due_on, gaps_in
from studio.front.inspection.rows import Row

Kind = SafetyCheck.Kind
NOT_KEPT = "Not kept here. Lay the paper beside this."
# What an inspector asks for ("sds.md" 5) and no record here can answer.
BESIDE = (
    "the written risk assessment, or the written programme where the law calls it so",
    "the exposure assessment, or objective data, for silica and other dust",
    "what was taught, and when, beyond the sign-offs",
    "health surveillance: whether it is offered; what it finds is private",
    "analyses of sludge and waste water, transfer notes, the contract for waste",
    "where eye wash and spill kit are",
)
NEVER = "No check is on record."


def sections_of(facts: Facts) -> dict[str, Any]:
    """Everything the templates say. Reads nothing more."""
    gaps, words = gaps_in(facts), ("missing", "due", "current")
    checks = _checks(facts)
    return {
        "facts": facts,
        "rule_set": RULES_OF_LAW[facts.details.law][1],
        "gaps": gaps,
        "gap_count": sum(len(rows) for rows in gaps.values()),
        "counts": {word: sum(one.state.word == word for one in facts.materials) for word in words},
        "glazes": [(row, found, _not_known(facts, found)) for row, found in facts.glazes],
        "labels": [(label, found := known_of(label), _not_known(facts, found)) for label in facts.labels],
        "cmr": [one for one in facts.materials if one.cmr],
        "signed_off": [one for one in facts.people if one.sign_offs],
        "without": sum(not one.sign_offs for one in facts.people),
        "checks": checks,
        "incidents": sorted(facts.incidents, key=lambda row: (row.ref, -int(row.name))),
        "silica": _silica(facts),
        "plan": list(_plan(facts, checks)),
        "waste": _waste(facts),
        "beside": BESIDE,
    }


def _not_known(facts: Facts, found: Classification | None) -> bool:
    return found is None or bool(facts.not_known_of(found))


def _checks(facts: Facts) -> list[dict[str, Any]]:
    """The newest of each kind, person and place; kinds never looked at are among the gaps."""
    return [
        {
            "kind": row.ref,
            "what": Kind(row.ref).label.capitalize() + (f", {row.name}" if row.name else ""),
            "name": row.name,
            "last": timezone.localdate(row.at),
            "due": due_on(row.ref, timezone.localdate(row.at), facts),
            "good": bool(row.flag),
            "found": row.more,
        }
        for row in sorted(facts.checks, key=lambda row: (row.ref, row.name))
    ]


def _silica(facts: Facts) -> list[tuple[OfMaterial, str]]:
    """Materials with crystalline silica, with how much of it in words."""
    return [
        (one, "; ".join(f"{name} {float(pct):.3g} %" for name, pct in one.silica))
        for one in facts.materials
        if one.silica
    ]


def _plan(facts: Facts, checks: list[dict[str, Any]]) -> Iterator[tuple[str, str]]:
    """The headings an inspector looks for in a plan against silica, and what there is under each."""
    count = len(_silica(facts))
    yield "Control plan, written", NOT_KEPT
    yield "Exposure assessment or objective data", NOT_KEPT
    yield "Where it is", f"In {count} material{'' if count == 1 else 's'}, listed below."
    yield "Extraction", _last(checks, Kind.EXTRACTION)
    yield "Vacuum and air filters", _last(checks, Kind.FILTER)
    yield "Cleaning, wet", _last(checks, Kind.CLEANING)
    yield "Respirators, fit and filters", _last(checks, Kind.RESPIRATOR)
    yield "Training", "Sign-offs are listed above; what was taught is not kept here."
    yield "Health surveillance", "Private, and not kept here. A physician has it."
    yield "Sink trap and sludge", _last(checks, Kind.TRAP)


def _last(checks: list[dict[str, Any]], kind: str) -> str:
    said = [
        (f"{row['name']}: " if row["name"] else "")
        + f"last {said_day(row['last'])}, due by {said_day(row['due'])}"
        + ("" if row["good"] else ", found not good")
        for row in checks
        if row["kind"] == kind
    ]
    words = "; ".join(said)
    return f"{words[:1].upper()}{words[1:]}." if said else NEVER


def _waste(facts: Facts) -> list[tuple[Row, Label | None]]:
    """Containers of waste with the label in force on each."""
    kind = Container._meta.label_lower
    labels = {label.on_id: label for label in facts.labels if label.on_kind == kind}
    return [
        (row, labels.get(row.number or 0))
        for row in facts.bearers
        if row.kind == "container" and row.more == Container.Kind.WASTE
    ]
