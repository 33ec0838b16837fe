"""The dip check: may I dip now? Facts in, one of four words out, with reasons and until when.

Only facts that were handed in, and the moment ``now``; nothing is looked up. Moments must all carry a
time zone or all carry none. Rules: this product's own; validities and settling time are policy.
"""

from collections.abc import Iterator
from dataclasses import dataclass
from datetime import datetime, timedelta
from typing import Literal, NamedTuple

from studio.calc.arguments import positive
from studio.calc.gravity import Verdict, verdict

Answer = Literal["dip", "stir first", "measure first", "do not use"]
State = Literal["testing", "in use", "emptied"]
By = Literal["technician", "member"]
_Word = Literal["inside", "outside", "undecided", "not judged", "unknown"]

DIP: Answer = "dip"

GRAVITY: dict[Answer, int] = {"dip": 0, "stir first": 1, "measure first": 2, "do not use": 3}
CLOCK_SLACK = timedelta(minutes=5)  # a moment further ahead than this is a wrong clock, not a fact


@dataclass(frozen=True)
class SgReading:
    """One SG as read: its standard uncertainty (None: not known) and when."""

    sg: float
    u: float | None
    at: datetime


@dataclass(frozen=True)
class Facts:
    """All that the dip check looks at.

    ``held_reason`` None means not held. ``half_window`` or ``target`` None: no window, so an SG is not
    judged. ``technician`` and ``member`` are the last reading of each, whichever is newer. ``volume_l``
    None: not known.
    """

    state: State
    held_reason: str | None = None
    technician: SgReading | None = None
    member: SgReading | None = None
    target: float | None = None
    half_window: float | None = None
    technician_valid_days: float = 7.0
    member_valid_days: float = 2.0
    stirred_at: datetime | None = None
    settles_min: float = 5.0  # common practice, no source; a recipe may say otherwise
    volume_l: float | None = None
    watered_at: datetime | None = None  # when water last went in: a reading before it no longer counts


class Reason(NamedTuple):
    """Why, for programs and for people. The sentence carries no name and no clock time."""

    code: str
    sentence: str


@dataclass(frozen=True)
class DipCheck:
    """The answer and what it rests on.

    ``reasons``: the one that decided first. ``holds_until``: for *dip* the moment it ends (settled, or the
    reading too old); for *stir first* the moment the reading gets too old; else None. ``age_s``: age of
    ``reading``, the one that decided or the newest there is, read by ``by``; ``verdict`` of it where there
    is a window and its uncertainty is known. ``readings_until``: until when a reading counts.
    """

    answer: Answer
    reasons: tuple[Reason, ...]
    holds_until: datetime | None
    age_s: float | None
    reading: SgReading | None
    by: By | None
    verdict: Verdict | None
    readings_until: datetime | None
    stirred_until: datetime | None


class _Finding(NamedTuple):
    answer: Answer
    reason: Reason


class _Read(NamedTuple):
    """A reading as it stands at ``now``.

    ``word``: its verdict; "not judged" without a window; "unknown" without an uncertainty. ``until``: when it
    gets too old; ``ahead``: its time is still to come; ``diluted``: water went in after it.
    """

    by: By
    reading: SgReading
    word: _Word
    verdict: Verdict | None
    until: datetime
    ahead: bool
    diluted: bool
    fresh: bool

    @property
    def counts(self) -> bool:
        return self.fresh and self.word in ("inside", "not judged")

    @property
    def outside(self) -> bool:
        """Outside, and water since then can't have cured it: it thins what was too thick."""
        cured = self.diluted and self.verdict is not None and self.verdict.difference > 0
        return self.word == "outside" and not cured


def dip_check(*, facts: Facts, now: datetime) -> DipCheck:
    """May I dip now? The gravest finding decides; time alone never makes the answer better.

    Held, testing, emptied, nothing left, or the technician's reading outside: *do not use*. No reading,
    too old, undecided, or a member's newer reading outside: *measure first*. Not stirred within the
    settling time: *stir first*. Else *dip*. A member's reading counts when it is inside and newer than
    the technician's, for the member's shorter time; one that is undecided changes nothing. Inside after
    a technician's outside is a disagreement: *measure first*. A reading that was outside stays so until
    a newer one takes its place, or water goes into what was too thick.
    Without a window a reading still has to be fresh; after water none counts. ValueError when validities
    or the settling time are not above 0.
    """
    positive(
        technician_valid_days=facts.technician_valid_days,
        member_valid_days=facts.member_valid_days,
        settles_min=facts.settles_min,
    )
    technician = _read(facts.technician, "technician", facts, now)
    member = _read(facts.member, "member", facts, now)
    if member and technician and member.reading.at <= technician.reading.at:
        member = None  # a later technician's reading replaces it
    counting = [read for read in (member, technician) if read and read.counts]
    stirred_until = _stirred_until(facts, now)
    findings = [*_bars(facts), *_reading_findings(technician, member, counting, facts)]
    if stirred_until is None or stirred_until <= now:
        findings.append(_unstirred(facts))
    answer = max((finding.answer for finding in findings), key=lambda a: GRAVITY[a], default=DIP)
    shown = _shown_reading(answer, technician, member, counting)
    readings_until = max((read.until for read in counting), default=None)
    return DipCheck(
        answer=answer,
        reasons=_reasons(answer, findings, shown, facts),
        holds_until=_holds_until(answer, readings_until, stirred_until),
        age_s=(now - shown.reading.at).total_seconds() if shown else None,
        reading=shown.reading if shown else None,
        by=shown.by if shown else None,
        verdict=shown.verdict if shown else None,
        readings_until=readings_until,
        stirred_until=stirred_until,
    )


def _read(reading: SgReading | None, by: By, facts: Facts, now: datetime) -> _Read | None:
    if reading is None:
        return None
    days = facts.technician_valid_days if by == "technician" else facts.member_valid_days
    until = reading.at + timedelta(days=days)
    judged: Verdict | None = None
    word: _Word = "not judged"
    if facts.target is not None and facts.half_window is not None:
        word = "unknown"
        if reading.u is not None:
            judged = verdict(
                reading=reading.sg, target=facts.target, half_window=facts.half_window, u=reading.u
            )
            word = judged.word
    ahead = reading.at > now + CLOCK_SLACK
    diluted = facts.watered_at is not None and reading.at <= facts.watered_at
    fresh = not ahead and not diluted and now < until
    return _Read(by, reading, word, judged, until, ahead=ahead, diluted=diluted, fresh=fresh)


def _bars(facts: Facts) -> Iterator[_Finding]:
    """What forbids dipping whatever the readings say."""
    if facts.state == "emptied":
        yield _Finding("do not use", Reason("emptied", "This fill has been emptied."))
    if facts.held_reason is not None:
        yield _Finding("do not use", Reason("held", "It is held until a technician lifts the hold."))
    if facts.state == "testing":
        sentence = "It is still in testing: wait until a technician releases it."
        yield _Finding("do not use", Reason("testing", sentence))
    if facts.volume_l is not None and facts.volume_l <= 0:
        yield _Finding("do not use", Reason("nothing left", "Nothing is left in it."))


def _reading_findings(
    technician: _Read | None, member: _Read | None, counting: list[_Read], facts: Facts
) -> Iterator[_Finding]:
    """What speaks against dipping in the readings: nothing when the newest that matters counts.

    A member's reading inside never clears a technician's outside by itself: the two disagree.
    """
    if technician and technician.outside and member in counting:
        sentence = (
            f"{_outside(technician, facts)} A member has read it inside since: have a technician measure."
        )
        yield _Finding("measure first", Reason("readings disagree", sentence))
    elif technician and technician.outside:
        yield _Finding("do not use", Reason("outside", _outside(technician, facts)))
    elif member in counting:
        return
    elif member and member.outside:
        sentence = f"{_outside(member, facts)} A member read it: have a technician measure."
        yield _Finding("measure first", Reason("member outside", sentence))
    elif not counting:
        yield _Finding("measure first", _why_not(member or technician, facts))


def _why_not(read: _Read | None, facts: Facts) -> Reason:
    """Why the reading there is does not count."""
    if read is None:
        return Reason("no reading", "It has no reading yet.")
    if read.ahead:
        sentence = "The last reading bears a time still to come, so it does not count."
        return Reason("ahead", sentence)
    if read.diluted:
        return Reason("water since", "Water went in after the last reading.")
    if not read.fresh:
        return Reason("too old", "The last reading is too old to count.")
    if read.word == "unknown":
        sentence = f"How well SG {read.reading.sg:.3f} is known was not recorded: weigh a known volume."
        return Reason("not known how well", sentence)
    return Reason("undecided", _undecided(read, facts))


def _reasons(
    answer: Answer, findings: list[_Finding], shown: _Read | None, facts: Facts
) -> tuple[Reason, ...]:
    """The gravest first. Before measuring one stirs; what is fit says so."""
    told = [finding.reason for finding in findings if finding.answer == answer]
    if answer == "measure first":
        told += [finding.reason for finding in findings if finding.answer == "stir first"]
    if answer in ("stir first", "dip") and shown:
        told.append(_fit(shown, facts))
    if answer == "dip":
        told.append(Reason("stirred", f"It was stirred less than {facts.settles_min:g} min ago."))
    return tuple(told)


def _shown_reading(
    answer: Answer, technician: _Read | None, member: _Read | None, counting: list[_Read]
) -> _Read | None:
    """The reading the answer rests on; where it rests on none, the newest there is."""
    if counting and answer in ("dip", "stir first"):
        return counting[0]
    if technician and technician.outside and member not in counting:
        return technician
    return member or technician


def _stirred_until(facts: Facts, now: datetime) -> datetime | None:
    if facts.stirred_at is None or facts.stirred_at > now + CLOCK_SLACK:
        return None
    return facts.stirred_at + timedelta(minutes=facts.settles_min)


def _holds_until(
    answer: Answer, readings_until: datetime | None, stirred_until: datetime | None
) -> datetime | None:
    if answer == "dip" and readings_until and stirred_until:
        return min(readings_until, stirred_until)
    return readings_until if answer == "stir first" else None


def _unstirred(facts: Facts) -> _Finding:
    sentence = f"Stir it to the floor first: it settles in {facts.settles_min:g} min."
    return _Finding("stir first", Reason("not stirred", sentence))


def _fit(read: _Read, facts: Facts) -> Reason:
    if read.word == "not judged":
        return Reason("no window", "No window is set for this fill, so its SG is shown and not judged.")
    whose = ", as a member read it" if read.by == "member" else ""
    return Reason("inside", f"SG {read.reading.sg:.3f} is inside {_window(facts)}{whose}.")


def _outside(read: _Read, facts: Facts) -> str:
    side = "too thick" if read.verdict and read.verdict.difference > 0 else "too thin"
    return f"SG {read.reading.sg:.3f} is outside {_window(facts)}: {side}."


def _undecided(read: _Read, facts: Facts) -> str:
    known = f" ± {read.verdict.U:.3f}" if read.verdict else ""
    return (
        f"SG {read.reading.sg:.3f}{known} may be inside or outside {_window(facts)}: "
        "measure again, with a larger flask if there is one."
    )


def _window(facts: Facts) -> str:
    return f"{facts.target or 0:.3f} ± {facts.half_window or 0:.3f}"
