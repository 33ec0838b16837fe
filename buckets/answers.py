"""The dip check in words for whoever stands at the bucket: who stirred, how old, until what clock time."""

from collections.abc import Callable
from dataclasses import dataclass, field
from datetime import datetime, timedelta
from typing import Any

from django.utils import timezone

from buckets.calc.dip import DipCheck, Reason
from buckets.models import Fill, Reading
from buckets.queries import shown_reading, watered_at
from studio import words
from studio.people.models import Member
from studio.room.policy import Policy

NOBODY = "somebody"
A_MEMBER = "a member"


@dataclass(frozen=True, kw_only=True)
class Answer:
    """What the panel at the top of a bucket's page says; ``until`` only where it may be dipped now."""

    answer: str
    title: str
    sentence: str
    reasons: list[str] = field(default_factory=list)
    until: datetime | None = None


@dataclass(frozen=True, kw_only=True)
class _Told:
    """All that a sentence may speak of."""

    fill: Fill
    check: DipCheck
    reading: Reading | None
    policy: Policy
    now: datetime
    names: bool

    def ago(self, moment: datetime) -> str:
        return words.ago(timezone.localtime(moment), timezone.localtime(self.now))

    def clock(self, moment: datetime) -> str:
        return words.clock(timezone.localtime(moment), timezone.localtime(self.now))

    def settles(self) -> str:
        minutes = self.fill.settles_min or self.policy.settles_min
        return f"about {words.number(minutes, 1, least=0)} min"


def answer_of(fill: Fill, check: DipCheck, now: datetime, policy: Policy, *, names: bool = True) -> Answer:
    """The answer with its reason in one sentence. ``names`` False hides who it was."""
    told = _Told(
        fill=fill, check=check, reading=shown_reading(fill, check), policy=policy, now=now, names=names
    )
    if check.answer == "dip":
        return Answer(answer="dip", title="Dip", sentence=_dip(told), until=check.holds_until)
    deciding, *others = [reason for reason in check.reasons if _decides(reason, check)]
    return Answer(
        answer=check.answer,
        title=check.answer.capitalize(),
        sentence=_sentence(deciding, told),
        reasons=[_sentence(other, told) for other in others],
    )


def _decides(reason: Reason, check: DipCheck) -> bool:
    """Whether the panel says this reason: before measuring one stirs anyway, and what is fit stands below."""
    if reason.code in ("inside", "no window", "stirred"):
        return False
    return not (check.answer == "measure first" and reason.code == "not stirred")


def who(person: Member | None, names: bool) -> str:
    """A person's name, or that it was a member where names are hidden."""
    if person is None:
        return NOBODY
    return person.name if names else A_MEMBER


def _sentence(reason: Reason, told: _Told) -> str:
    say: Callable[[_Told], str] | None = SENTENCES.get(reason.code)
    return say(told) if say else reason.sentence


def _dip(told: _Told) -> str:
    stirred = told.fill.stirred_at
    by = f" by {who(told.fill.stirred_by, told.names)}"
    stir = f"stirred {told.ago(stirred)}{by}" if stirred else "stirred"
    if told.reading is None:
        return f"{stir.capitalize()}."
    if told.check.verdict is None:
        return f"{_read(told)}; no window is set, so it is not judged; {stir}."
    return f"{_read(told)}, is inside {window(told.fill)}; {stir}."


def _read(told: _Told) -> str:
    """The reading with its age and who took it."""
    reading = told.reading
    if reading is None or reading.sg is None:
        return "The last reading"
    whose = who(reading.by, told.names)
    kind = "" if reading.is_check else ", a member’s reading"
    if kind and whose == A_MEMBER:
        return f"SG {words.sg(reading.sg)}, measured {told.ago(reading.at)} by a member"
    return f"SG {words.sg(reading.sg)}, measured {told.ago(reading.at)} by {whose}{kind}"


def window(fill: Fill) -> str:
    """``1.430 to 1.470``; empty without a window."""
    if fill.target_sg is None or fill.half_window is None:
        return ""
    low, high = fill.target_sg - fill.half_window, fill.target_sg + fill.half_window
    return f"{words.sg(low)} to {words.sg(high)}"


def age(seconds: float) -> str:
    """``9 days``, ``26 min``: how old, without "ago"."""
    old = timedelta(seconds=max(seconds, 0))
    if old < timedelta(hours=1):
        return _many(int(old.total_seconds() // 60), "min", "min")
    if old < timedelta(days=2):
        return _many(int(old.total_seconds() // 3600), "h", "h")
    return _many(old.days, "day", "days")


def _many(count: int, one: str, more: str) -> str:
    return f"{count}{words.GAP}{one if count == 1 else more}"


def _held(told: _Told) -> str:
    since = told.fill.held_at
    return f"Held since {told.clock(since)}: {told.fill.held_reason}." if since else "It is held."


def _testing(told: _Told) -> str:
    if told.fill.history_unknown:
        return "Taken over with its history unknown, so it is in testing until a technician releases it."
    return "In testing: its tile has not been judged yet. A technician releases it."


def _outside(told: _Told) -> str:
    verdict = told.check.verdict
    side = "too thick" if verdict and verdict.difference > 0 else "too thin"
    return f"{_read(told)}, is outside {window(told.fill)}: {side}."


def _member_outside(told: _Told) -> str:
    return f"{_outside(told)} A technician’s reading decides: stir, then have it measured."


def _water_since(told: _Told) -> str:
    at = watered_at(told.fill)
    since = f" {told.ago(at)}" if at else ""
    return f"Water went in{since} and nobody has measured since. Stir, then take a reading."


def _too_old(told: _Told) -> str:
    policy, reading = told.policy, told.reading
    check = reading is None or reading.is_check
    days = policy.reading_valid_days if check else policy.member_reading_valid_days
    whose = "a technician’s" if check else "a member’s"
    sg = f", {words.sg(reading.sg)}," if reading and reading.sg is not None else ""
    old = age(told.check.age_s or 0)
    trusted = f"{words.number(days, 1, least=0)}{words.GAP}day{'' if days == 1 else 's'}"
    return (
        f"The last reading{sg} is {old} old; this studio trusts {whose} for {trusted}. "
        "Stir, then take a reading."
    )


def _undecided(told: _Told) -> str:
    verdict = told.check.verdict
    doubt = f" ± {words.sg(verdict.U)}" if verdict else ""
    sg = words.sg(told.check.reading.sg) if told.check.reading else ""
    if verdict is None:
        return f"SG {sg} may lie inside or outside {window(told.fill)}. Measure once more."
    likely = "probably inside" if verdict.p_inside >= 0.5 else "probably outside"
    chance = words.percent(100 * verdict.p_inside, 0)
    return (
        f"SG {sg}{doubt} is {likely} {window(told.fill)} (chance inside {chance}), but this measurement "
        "can’t tell. Measure once more, with the largest flask."
    )


def _unstirred(told: _Told) -> str:
    fill = told.fill
    if fill.stirred_at is None:
        return f"Nobody has noted a stir yet; this glaze settles in {told.settles()}. Down to the floor."
    by = who(fill.stirred_by, told.names)
    return (
        f"Last stirred {told.ago(fill.stirred_at)} by {by}; this glaze settles in {told.settles()}. "
        "Down to the floor."
    )


SENTENCES: dict[str, Callable[[Any], str]] = {
    "held": _held,
    "testing": _testing,
    "outside": _outside,
    "member outside": _member_outside,
    "no reading": lambda told: "It has no reading yet. Stir, then take one.",
    "water since": _water_since,
    "too old": _too_old,
    "undecided": _undecided,
    "not stirred": _unstirred,
}
