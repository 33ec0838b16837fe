"""What a page or a label may say of a glaze and food: one function decides it, from the evidence on record.

A recipe cannot show that a pot is fit for food. Only a dated leach test of fired pieces of that version, on
that clay, in that firing, held against named limits, supports a statement, and for that combination alone.
No sentence here calls a glaze harmless, and no evidence that is missing, worse or older makes one milder.
Rules: conventions of the trade [P] over the limits of 84/500/EEC and the FDA's guides [O].
"""

import re
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date
from typing import Literal

from safety.calc.careful import Careful, named
from safety.calc.leach import Judged, LimitSet, Tested, judged
from studio.calc.days import said_day

State = Literal["untested", "within", "over", "expired"]
NO_LEACH_TEST = "No leach test on record."
NOT_FOR_FOOD = "Not for food"
NO_TEST, TEST = "No leach test", "Leach test"  # how the other sentences on a label begin
# What no label, page or note may claim.
_CLAIMS = re.compile(
    r"\b(?:(?:food|dinner(?:ware)?|dinnerware|tableware|dish|oven|child|kid)[- ]?safe"
    r"|safe (?:for|with|on|to use (?:for|with)) (?:food|dinner(?:ware)?|tableware|drink(?:s|ing)?|eating)"
    r"|non[- ]?toxic|(?:lead|cadmium)[- ]?(?:free|less)|free (?:of|from) (?:lead|cadmium))\b",
    re.IGNORECASE,
)


@dataclass(frozen=True, kw_only=True)
class Verdict:
    """A test with what it comes to today; ``own`` by the studio's limits, ``other`` by those it names.

    ``ended``: why it does not count any more, "" while it does.
    """

    test: Tested
    state: Literal["within", "over", "expired", "not judged"]
    own: Judged
    other: Judged | None
    ended: str

    @property
    def over(self) -> Judged:
        """By which limits it is over: the studio's own where both say so."""
        return self.other if self.own.word != "over" and self.other else self.own

    @property
    def sentence(self) -> str:
        """What it supports, or why it supports nothing."""
        if self.state == "over":
            test = f"leach test {_named(self.test)}"
            return f"{NOT_FOR_FOOD}: {test} is over {_set(self.over)} ({_beyond(self.over)})."
        if self.state == "not judged":
            return f"{self.test.name} supports no statement: {_lacking(self.own)}."
        if self.state == "expired":
            return f"{self.test.name} was within {_set(self.own)}. It {self.ended}."
        return _within(self.test, self.own)


@dataclass(frozen=True, kw_only=True)
class Said:
    """What may be said: ``sentences`` on a page, ``label`` on a label; it holds until ``until`` (or on)."""

    state: State
    sentences: tuple[str, ...]
    label: str
    verdicts: tuple[Verdict, ...]
    until: date | None = None


def may_be_said(*, tests: Sequence[Tested], elements: Careful, limits: LimitSet, today: date) -> Said:
    """What the tests that stand support today, by the studio's own ``limits``; newest test first.

    One test over its limits outweighs every other: a further test does not take it back. Lead or cadmium in
    the materials is never offered for food, whatever was tested.
    """
    verdicts = tuple(verdict_of(test, limits, today) for test in tests)
    word = next((word for word in STATE_OF if any(row.state == word for row in verdicts)), "not judged")
    deciding = [row for row in verdicts if row.state == word]
    of_tests = sorted((row.sentence for row in verdicts), key=gravity, reverse=True)
    said = [*_of_toxic(elements), *of_tests, *_of_others(elements)]
    within = deciding if word == "within" and not elements.toxic else []
    return Said(
        state=STATE_OF[word],
        sentences=tuple(said if verdicts else [NO_LEACH_TEST, *said]),
        label=_label(word, deciding, elements),
        verdicts=verdicts,
        until=within[0].test.expires_on if within else None,
    )


# The word of a verdict, what outweighs the rest first, and the state a version is in by it.
STATE_OF: dict[str, State] = {
    "over": "over", "within": "within", "expired": "expired", "not judged": "untested",
}  # fmt: skip


def gravity(sentence: str) -> int:
    """How much a sentence warns: 0 a test within its limits, 1 no test that counts, 2 not for food."""
    if sentence.startswith(NOT_FOR_FOOD):
        return 2
    return 0 if sentence.startswith(TEST) else 1


def claims_in(text: str) -> list[str]:
    """Words in ``text`` that nobody may claim of a glaze: "food safe", "non-toxic", "lead-free" …"""
    return [found.group() for found in _CLAIMS.finditer(text)]


def verdict_of(test: Tested, limits: LimitSet, today: date) -> Verdict:
    """A test today. Over by the limits it names or by the studio's own is over, however old it is."""
    own = judged(test, limits, today=today)
    named_set = test.limits if test.limits is not None and test.limits.key != limits.key else None
    other = judged(test, named_set, today=today) if named_set else None
    ended = _ended(test, today)
    state: Literal["within", "over", "expired", "not judged"] = "not judged"
    if own.word == "over" or (other is not None and other.word == "over"):
        state = "over"
    elif own.word == "within":
        state = "expired" if ended else "within"
    return Verdict(test=test, state=state, own=own, other=other, ended=ended)


def _ended(test: Tested, today: date) -> str:
    if today > test.expires_on:
        return f"counted until {said_day(test.expires_on)}"
    if test.newer_lots:
        return f"does not count for what came since: {', '.join(test.newer_lots)}"
    return ""


# --- wording


def _named(test: Tested) -> str:
    """L001, ISO 6486-1 of 2026-02-10, version 2 on buff stoneware, cone 6 oxidation, two coats."""
    layers = f", {test.layers}" if test.layers else ""
    combination = f"version {test.version} on {test.clay}, {test.firing}{layers}"
    return f"{test.name}, {test.method} of {said_day(test.reported_on)}, {combination},"


def _set(verdict: Judged) -> str:
    name = verdict.category
    return f"{verdict.limits.title}, {f'category {name}' if name.isdigit() else name}"


def _within(test: Tested, verdict: Judged) -> str:
    found = ", ".join(f"{line.element} {line.shown}" for line in verdict.lines if line.limit)
    return (
        f"{TEST} {_named(test)[:-1]}: {found}, within {_set(verdict)}. "
        f"For that combination alone, until {said_day(test.expires_on)}."
    )


def _beyond(verdict: Judged) -> str:
    return ", ".join(
        f"{line.element} {line.shown}, limit {line.limit.value.normalize():f}"
        for line in verdict.lines
        if line.limit and line.word == "over"
    )


def _lacking(verdict: Judged) -> str:
    lines = [f"{line.element}: {line.why}" for line in verdict.lines if line.limit and line.word == "open"]
    return "; ".join([*lines, *(reason.rstrip(".") for reason in verdict.reasons)])


def _of_toxic(elements: Careful) -> list[str]:
    if not elements.toxic:
        return []
    return [f"{NOT_FOR_FOOD}: it contains {named(elements.toxic)}. No leach test changes that."]


def _of_others(elements: Careful) -> list[str]:
    said = []
    if others := [flag for flag in elements.flags if flag not in elements.toxic]:
        said.append(
            f"Contains {named(others)}: test before food use. Limits of lead and cadmium say nothing of it."
        )
    if elements.unknown:
        said.append(f"Not known what is in {', '.join(elements.unknown)}: ask for the analysis.")
    return said


def _label(word: str, deciding: Sequence[Verdict], elements: Careful) -> str:
    why = [f"contains {', '.join(flag.element.name for flag in elements.toxic)}"] if elements.toxic else []
    if word == "over":
        row = deciding[0]
        why.append(f"leach test {row.test.name} is over {_set(row.over)} ({_beyond(row.over)})")
    if why:
        return f"{NOT_FOR_FOOD}: {'; '.join(why)}."
    if word == "within":
        left = ", ".join(flag.element.name for flag in elements.flags)
        return deciding[0].sentence + (f" Not assessed: {left}." if left else "")
    if word == "expired":
        return f"{NO_TEST} in force: {deciding[0].test.name} {deciding[0].ended}."
    if deciding:
        return f"{NO_TEST} that counts: {', '.join(row.test.name for row in deciding)} cannot be judged."
    return NO_LEACH_TEST
