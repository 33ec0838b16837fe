"""The dip check in words for whoever stands at the bucket: who stirred, how old, until what clock time."""

from collections.abc import Callable
from dataclasses import dataclass, field
from datetime import datetime, timedelta
from math import floor
from typing import Any

from django.utils import timezone

from buckets.calc.dip import DipCheck, Reason
from buckets.models import Fill, Reading
from buckets.queries import change_of, depth_in, shown_reading
from studio import words
from studio.people.models import Member
from studio.room.policy import Policy

NOBODY = "somebody"
A_MEMBER = "a member"


Sentences = tuple[str, ...]
MOST = 2  # sentences in the panel: what somebody with a pot in one hand reads


@dataclass(frozen=True, kw_only=True)
class Answer:
    """What the panel at the top of a bucket's page says: ``sentence`` and ``reasons``, at most two sentences.

    ``until`` only where it may be dipped now; its "holds until" is one of the two. ``more`` is what else
    there is to say: it stands below, folded.
    """

    answer: str
    title: str
    sentence: str
    reasons: list[str] = field(default_factory=list)
    until: datetime | None = None
    more: list[str] = field(default_factory=list)


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

    @property
    def shallow(self) -> bool:
        return any(note.code == "shallow" for note in self.check.notes)

    def says(self, code: str) -> bool:
        return any(reason.code == code for reason in self.check.reasons)


def answer_of(fill: Fill, check: DipCheck, now: datetime, policy: Policy, *, names: bool = True) -> Answer:
    """The answer with its reasons in at most two sentences. ``names`` False hides who it was."""
    told = _Told(
        fill=fill, check=check, reading=shown_reading(fill, check), policy=policy, now=now, names=names
    )
    if check.answer == "dip":
        return _may(told)
    deciding, *others = [_sentences(reason, told) for reason in check.reasons if _decides(reason, check)]
    left = [sentence for other in others for sentence in other]
    beside = left[: max(MOST - len(deciding), 0)]
    return Answer(
        answer=check.answer,
        title=check.answer.capitalize(),
        sentence=" ".join(deciding),
        reasons=beside,
        more=[*left[len(beside) :], *_noted(told)],
    )


def _may(told: _Told) -> Answer:
    """Dip; or, where it is too shallow for that, pour or brush."""
    title, sentence, more = "Dip", _dip(told), []
    if told.shallow:
        title, sentence, more = "Pour or brush", f"{_depth(told)} are left, too shallow to dip.", [sentence]
    return Answer(answer="dip", title=title, sentence=sentence, until=told.check.holds_until, more=more)


def _noted(told: _Told) -> list[str]:
    """What is said beside an answer that has not said it: before stirring the panel itself does."""
    if told.check.answer == "stir first" or not told.shallow:
        return []
    return [f"{_depth(told)} are left, too shallow to dip: pour or brush once it may be used."]


def _depth(told: _Told) -> str:
    depth_cm = depth_in(told.fill.vessel, told.fill.volume_l)
    return f"About {words.number(floor(10 * depth_cm) / 10, 1, least=0)}{words.GAP}cm"


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


def _sentences(reason: Reason, told: _Told) -> Sentences:
    say: Callable[[_Told], Sentences] | None = SENTENCES.get(reason.code)
    return say(told) if say else (reason.sentence,)


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
    # What was judged: the mean, where this one repeats another and the two agree.
    sg = words.sg(told.check.reading.sg if told.check.reading else reading.sg)
    if kind and whose == A_MEMBER:
        return f"SG {sg}, measured {told.ago(reading.at)} by a member"
    return f"SG {sg}, measured {told.ago(reading.at)} by {whose}{kind}"


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


def _held(told: _Told) -> Sentences:
    since, reason = told.fill.held_at, told.fill.held_reason.strip().rstrip(".")
    return (f"Held since {told.clock(since)}: {reason}.",) if since else ("It is held.",)


def _testing(told: _Told) -> Sentences:
    if told.fill.history_unknown:
        return ("Taken over with its history unknown, so it is in testing until a technician releases it.",)
    return "In testing: its tile has not been judged yet.", "A technician releases it."


def _outside(told: _Told) -> Sentences:
    return (f"{_read(told)}, is outside {window(told.fill)}: {_side(told)}.",)


def _side(told: _Told) -> str:
    verdict = told.check.verdict
    return "too thick" if verdict and verdict.difference > 0 else "too thin"


def _member_outside(told: _Told) -> Sentences:
    return *_outside(told), DECIDES


def _member_doubtful(told: _Told) -> Sentences:
    return f"{_read(told)}, is probably outside {window(told.fill)}: {_side(told)}.", DECIDES


def _disagree(told: _Told) -> Sentences:
    checked = told.fill.check_reading
    sg = words.sg(checked.sg) if checked else ""
    return f"A technician read {sg}, outside {window(told.fill)}; a member has read it inside since.", DECIDES


def _unexplained(told: _Told) -> Sentences:
    if told.says("outside"):
        return ("That was not to be expected: stir, measure again, and find the cause first.",)
    surprise = told.fill.check_reading
    if surprise is None or surprise.sg is None:
        return "The last reading was not what was to be expected.", CAUSE
    read = f"SG {words.sg(surprise.sg)}, measured {told.ago(surprise.at)}"
    return f"{read}, was not to be expected, and nobody has said why.", CAUSE


def _changed_since(told: _Told) -> Sentences:
    change = change_of(told.fill)
    since = f" {told.ago(change.at)}" if change.at else ""
    return f"{change.said}{since} and nobody has measured since.", STIR_READ


def _used_since(told: _Told) -> Sentences:
    most, days = told.policy.heavy_use_l, _days(told.policy.heavy_use_valid_days)
    gone = (
        f"More than {words.litres(most)} have gone since the last reading, {age(told.check.age_s or 0)} ago"
    )
    return f"{gone}; after that it counts for {days}.", STIR_READ


def _too_old(told: _Told) -> Sentences:
    policy, reading = told.policy, told.reading
    check = reading is None or reading.is_check
    days = policy.reading_valid_days if check else policy.member_reading_valid_days
    whose = "a technician’s" if check else "a member’s"
    sg = f", {words.sg(reading.sg)}," if reading and reading.sg is not None else ""
    old = age(told.check.age_s or 0)
    return f"The last reading{sg} is {old} old; this studio trusts {whose} for {_days(days)}.", STIR_READ


def _days(days: Any) -> str:
    return f"{words.number(days, 1, least=0)}{words.GAP}day{'' if days == 1 else 's'}"


def _undecided(told: _Told) -> Sentences:
    verdict = told.check.verdict
    doubt = f" ± {words.sg(verdict.U)}" if verdict else ""
    sg = words.sg(told.check.reading.sg) if told.check.reading else ""
    if verdict is None:
        return f"SG {sg} may lie inside or outside {window(told.fill)}.", "Measure once more."
    likely = "probably inside" if verdict.p_inside >= 0.5 else "probably outside"
    chance = words.percent(100 * verdict.p_inside, 0)
    return (
        f"SG {sg}{doubt} is {likely} {window(told.fill)} (chance inside {chance}), but this measurement "
        "can’t tell.",
        "Measure once more, with the largest flask.",
    )


def _flow_off(told: _Told) -> Sentences:
    flow, reference = told.fill.flow, told.fill.flow_reference
    if flow is None or reference is None or flow.seconds is None or reference.seconds is None:
        return ("Its flow is off.", FLOW)
    timed, usual = (f"{words.number(one.seconds, 0)}{words.GAP}s" for one in (flow, reference))
    coat = "thick" if flow.seconds > reference.seconds else "thin"
    return f"It takes {timed} through the flow cup where {usual} is usual: coats come out too {coat}.", FLOW


def _unstirred(told: _Told) -> Sentences:
    fill = told.fill
    down = "Down to the floor."
    if told.shallow:
        down = f"Down to the floor: {_depth(told).lower()} are left, too shallow to dip, so pour or brush."
    if fill.stirred_at is None:
        return f"Nobody has noted a stir yet; this glaze settles in {told.settles()}.", down
    by = who(fill.stirred_by, told.names)
    stirred = f"Last stirred {told.ago(fill.stirred_at)} by {by}"
    return f"{stirred}; this glaze settles in {told.settles()}.", down


STIR_READ = "Stir, then take a reading."
DECIDES = "A technician’s reading decides: stir, then have it measured."
CAUSE = "Find the cause before dipping."
FLOW = "Stir, and time the flow again."
SENTENCES: dict[str, Callable[[Any], Sentences]] = {
    "held": _held,
    "testing": _testing,
    "outside": _outside,
    "unexplained": _unexplained,
    "readings disagree": _disagree,
    "member outside": _member_outside,
    "member probably outside": _member_doubtful,
    "no reading": lambda told: ("It has no reading yet.", "Stir, then take one."),
    "changed since": _changed_since,
    "used since": _used_since,
    "too old": _too_old,
    "undecided": _undecided,
    "flow slow": _flow_off,
    "flow fast": _flow_off,
    "not stirred": _unstirred,
}
