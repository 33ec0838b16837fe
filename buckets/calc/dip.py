"""The dip check: may I dip now? Facts in, one of four words out, with reasons and until when.

Only facts that were handed in, and the moment ``now``; nothing is looked up. Moments must all carry a
time zone or all carry none. Rules: this product's own; validities and settling time are policy.
"""

from collections.abc import Iterator
from dataclasses import dataclass
from datetime import datetime, timedelta
from math import floor

from buckets.calc.dip_facts import Act, Answer, By, Code, Facts, Finding, FlowReading, Reason, SgReading
from buckets.calc.dip_readings import CLOCK_SLACK, Read, against, fit, read
from studio.calc.arguments import not_negative, positive
from studio.calc.gravity import Verdict

__all__ = ["DIP", "GRAVITY", "Answer", "DipCheck", "Facts", "FlowReading", "Reason", "SgReading", "dip_check"]

DIP: Answer = "dip"

GRAVITY: dict[Answer, int] = {"dip": 0, "stir first": 1, "measure first": 2, "do not use": 3}


@dataclass(frozen=True)
class DipCheck:
    """The answer and what it rests on.

    ``reasons``: in order of weight, the one that decided first; each with the act that would change it.
    ``notes``: what has to be said beside the answer and does not change it. ``holds_until``: for *dip* the
    moment it ends (settled, or the reading too old); for *stir first* the moment the reading gets too old;
    else None. ``age_s``: age of ``reading``, the one that decided or the newest there is, read by ``by``;
    ``verdict`` of it where there is a window and its uncertainty is known. ``readings_until``: until when a
    reading counts; ``worn``: use has made that sooner.
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
    notes: tuple[Reason, ...] = ()
    worn: bool = False

    @property
    def acts(self) -> tuple[Act, ...]:
        """What would change the answer, in order, each act once."""
        return tuple(dict.fromkeys(reason.act for reason in self.reasons if reason.act))


def dip_check(*, facts: Facts, now: datetime) -> DipCheck:
    """May I dip now? The gravest finding decides; time alone never makes the answer better.

    Held, testing, emptied, nothing left, or the technician's reading outside: *do not use*. No reading,
    too old, made before something changed the glaze, undecided, a member's newer reading (probably)
    outside, an unexpected reading nobody has explained, or a flow off its reference: *measure first*.
    Not stirred within the settling time: *stir first*. Else *dip*.

    A member's reading counts when it is inside and newer than the technician's, for the member's shorter
    time; one that is undecided and probably inside changes nothing. Inside after what a technician read
    outside, or probably outside, is a disagreement: *measure first*. A reading that was outside stays so
    until a newer one takes its place, or what was too thick is thinned, what was too thin thickened. Once
    ``heavy_use_l`` are gone since a reading it counts for ``heavy_use_valid_days`` only. A flow that is
    off stays so until it is measured again. Without a window a reading still has to be fresh.
    ValueError when a technician's validities, the settling time or the reference of the flow are not above
    0; ``member_valid_days`` may be 0: then a member's reading never counts.
    """
    _refuse_rules(facts)
    technician = read(facts.technician, "technician", facts, now)
    member = read(facts.member, "member", facts, now)
    if member and technician and member.reading.at <= technician.reading.at:
        member = None  # a later technician's reading replaces it
    counting = [one for one in (member, technician) if one and one.counts]
    stirred_until = _stirred_until(facts, now)
    findings = [
        *_bars(facts),
        *_unexplained(facts),
        *against(technician, member, counting, facts),
        *_flow(facts, now),
        *_unstirred(facts, stirred_until, now),
    ]
    answer = max((finding.answer for finding in findings), key=lambda a: GRAVITY[a], default=DIP)
    shown = _shown(answer, technician, member, counting)
    lasting = max(counting, key=lambda one: one.until, default=None)
    readings_until = lasting.until if lasting else None
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
        notes=tuple(_notes(facts)),
        worn=lasting is not None and lasting.worn,
    )


def _refuse_rules(facts: Facts) -> None:
    positive(
        technician_valid_days=facts.technician_valid_days,
        heavy_use_valid_days=facts.heavy_use_valid_days,
        settles_min=facts.settles_min,
    )
    not_negative(member_valid_days=facts.member_valid_days)
    if facts.flow is not None:
        positive(reference_s=facts.flow.reference_s, flow_within_pct=facts.flow_within_pct)


def _bars(facts: Facts) -> Iterator[Finding]:
    """What forbids dipping whatever the readings say."""
    if facts.state == "emptied":
        yield Finding("do not use", Reason("emptied", "This fill has been emptied."))
    if facts.held_reason is not None:
        yield Finding("do not use", Reason("held", "It is held until a technician lifts the hold.", "lift"))
    if facts.state == "testing":
        sentence = "It is still in testing: wait until a technician releases it."
        yield Finding("do not use", Reason("testing", sentence, "release"))
    if facts.volume_l is not None and facts.volume_l <= 0:
        yield Finding("do not use", Reason("nothing left", "Nothing is left in it.", "ask"))


def _unexplained(facts: Facts) -> Iterator[Finding]:
    """A surprise stays one, however often it is confirmed, until a person says why."""
    if facts.unexplained:
        sentence = "The last reading was not what was to be expected: find the cause before dipping."
        yield Finding("measure first", Reason("unexplained", sentence, "explain"))


def _flow(facts: Facts, now: datetime) -> Iterator[Finding]:
    """The flow says what SG cannot: gelled, or thinned by a deflocculant, at the same SG."""
    flow = facts.flow
    if flow is None or flow.at > now + CLOCK_SLACK:
        return
    off_pct = 100 * (flow.seconds / flow.reference_s - 1)
    if abs(off_pct) <= facts.flow_within_pct * (1 + 1e-9):
        return
    code: Code = "flow slow" if off_pct > 0 else "flow fast"
    side, coat = ("slower", "thicker") if off_pct > 0 else ("faster", "thinner")
    sentence = (
        f"It runs {abs(off_pct):.0f} % {side} through the flow cup than it should, "
        f"so coats come out {coat} at the same SG."
    )
    yield Finding("measure first", Reason(code, sentence, "measure flow"))


def _unstirred(facts: Facts, stirred_until: datetime | None, now: datetime) -> Iterator[Finding]:
    if stirred_until is None or stirred_until <= now:
        sentence = f"Stir it to the floor first: it settles in {facts.settles_min:g} min."
        yield Finding("stir first", Reason("not stirred", sentence, "stir"))


def _notes(facts: Facts) -> Iterator[Reason]:
    """Too shallow for a dip, but there is something to pour or brush."""
    if facts.depth_cm is None or not 0 < facts.depth_cm < facts.keep_depth_cm:
        return
    under_cm = floor(10 * facts.depth_cm) / 10  # 9.96 cm is not "10 cm, too shallow under 10"
    sentence = f"It is about {under_cm:g} cm deep, too shallow to dip: pour or brush."
    yield Reason("shallow", sentence, "ask")


def _reasons(answer: Answer, findings: list[Finding], shown: Read | None, facts: Facts) -> tuple[Reason, ...]:
    """The gravest first. Before measuring one stirs; before thinning a surprise one finds its cause."""
    told = [finding.reason for finding in findings if finding.answer == answer]
    codes = {reason.code for reason in told}
    if answer == "measure first":
        told += [finding.reason for finding in findings if finding.answer == "stir first"]
    if "outside" in codes:
        told += [finding.reason for finding in findings if finding.reason.code == "unexplained"]
    if answer in ("stir first", "dip") and shown:
        told.append(fit(shown, facts))
    if answer == "dip":
        told.append(Reason("stirred", f"It was stirred less than {facts.settles_min:g} min ago."))
    return tuple(told)


def _shown(answer: Answer, technician: Read | None, member: Read | None, counting: list[Read]) -> Read | None:
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
