"""How the readings of a fill stand at a moment, and what in them speaks against dipping."""

from collections.abc import Iterator
from datetime import datetime, timedelta
from typing import Literal, NamedTuple

from buckets.calc.dip_facts import CHANGED, Act, By, Code, Facts, Finding, Reason, SgReading
from studio.calc.gravity import Verdict, verdict

CLOCK_SLACK = timedelta(minutes=5)  # a moment further ahead than this is a wrong clock, not a fact
_Word = Literal["inside", "outside", "undecided", "not judged", "unknown"]


class Read(NamedTuple):
    """A reading as it stands at ``now``.

    ``word``: its verdict; "not judged" without a window; "unknown" without an uncertainty. ``until``: when
    it gets too old; ``worn``: by use, sooner than by its days alone; ``ahead``: its time is still to come;
    ``changed``: something changed the glaze after it; ``cured``: in the direction it was off.
    """

    by: By
    reading: SgReading
    word: _Word
    verdict: Verdict | None
    until: datetime
    worn: bool
    ahead: bool
    changed: bool
    cured: bool
    fresh: bool

    @property
    def counts(self) -> bool:
        return self.fresh and self.word in ("inside", "not judged")

    @property
    def outside(self) -> bool:
        """Outside, and nothing done since can have cured it."""
        return self.word == "outside" and not self.cured

    @property
    def doubtful(self) -> bool:
        """Undecided, but more likely outside than inside, and nothing done since can have cured it."""
        likely = self.verdict is not None and self.verdict.p_inside < 0.5
        return self.word == "undecided" and likely and not self.cured


def read(reading: SgReading | None, by: By, facts: Facts, now: datetime) -> Read | None:
    """The reading as it stands now; None when there is none."""
    if reading is None:
        return None
    days = facts.technician_valid_days if by == "technician" else facts.member_valid_days
    worn = _worn(reading, facts) and facts.heavy_use_valid_days < days
    until = reading.at + timedelta(days=facts.heavy_use_valid_days if worn else days)
    word, judged = _judged(reading, facts)
    ahead = reading.at > now + CLOCK_SLACK
    changed = facts.changed_at is not None and reading.at <= facts.changed_at
    return Read(
        by,
        reading,
        word,
        judged,
        until,
        worn=worn,
        ahead=ahead,
        changed=changed,
        cured=_cured(reading, judged, facts),
        fresh=not ahead and not changed and now < until,
    )


def _judged(reading: SgReading, facts: Facts) -> tuple[_Word, Verdict | None]:
    if facts.target is None or facts.half_window is None:
        return "not judged", None
    if reading.u is None:
        return "unknown", None
    judged = verdict(reading=reading.sg, target=facts.target, half_window=facts.half_window, u=reading.u)
    return judged.word, judged


def _worn(reading: SgReading, facts: Facts) -> bool:
    """Whether so much has gone since that the reading counts for the shorter time.

    Litres at the reading less litres now: between them lies what was used or split off, as anything that
    went in, and water taken off, ends the reading by itself. Without a level at the reading its days count.
    """
    if reading.volume_l is None or facts.volume_l is None:
        return False
    return reading.volume_l - facts.volume_l > facts.heavy_use_l


def _cured(reading: SgReading, judged: Verdict | None, facts: Facts) -> bool:
    """Water can cure what was too thick; powder in or water off what was too thin."""
    if judged is None:
        return False
    too_thick = judged.difference > 0
    return facts.thinned_since(reading.at) if too_thick else facts.thickened_since(reading.at)


def against(
    technician: Read | None, member: Read | None, counting: list[Read], facts: Facts
) -> Iterator[Finding]:
    """What speaks against dipping in the readings: nothing when the newest that matters counts.

    A member's reading inside never clears by itself what a technician read outside: the two disagree.
    """
    if technician and member in counting and (technician.outside or technician.doubtful):
        sentence = f"{_off(technician, facts)} A member has read it inside since: have a technician measure."
        yield Finding("measure first", Reason("readings disagree", sentence, "measure"))
    elif technician and technician.outside:
        act: Act = "thin" if _too_thick(technician) else "thicken"
        yield Finding("do not use", Reason("outside", _off(technician, facts), act))
    elif member in counting:
        return
    elif member and (member.outside or member.doubtful):
        code: Code = "member outside" if member.outside else "member probably outside"
        sentence = f"{_off(member, facts)} A member read it: have a technician measure."
        yield Finding("measure first", Reason(code, sentence, "measure"))
    elif not counting:
        yield Finding("measure first", _why_not(member or technician, facts))


def _why_not(read: Read | None, facts: Facts) -> Reason:
    """Why the reading there is does not count."""
    code, sentence = _not_counting(read, facts)
    return Reason(code, sentence, "measure")


def _not_counting(read: Read | None, facts: Facts) -> tuple[Code, str]:
    if read is None:
        return "no reading", "It has no reading yet."
    if read.ahead:
        return "ahead", "The last reading bears a time still to come, so it does not count."
    if read.changed:
        return "changed since", f"{CHANGED[facts.change or 'water in']} after the last reading."
    if not read.fresh and read.worn:
        used = f"More than {facts.heavy_use_l:g} L have gone since the last reading"
        return "used since", f"{used}, so it counted for {facts.heavy_use_valid_days:g} days only."
    if not read.fresh:
        return "too old", "The last reading is too old to count."
    if read.word == "unknown":
        known = f"How well SG {read.reading.sg:.3f} is known was not recorded"
        return "not known how well", f"{known}: weigh a known volume."
    return "undecided", _undecided(read, facts)


def fit(read: Read, facts: Facts) -> Reason:
    """That the reading speaks for dipping."""
    if read.word == "not judged":
        return Reason("no window", "No window is set for this fill, so its SG is shown and not judged.")
    whose = ", as a member read it" if read.by == "member" else ""
    return Reason("inside", f"SG {read.reading.sg:.3f} is inside {_window(facts)}{whose}.")


def _off(read: Read, facts: Facts) -> str:
    side = "too thick" if _too_thick(read) else "too thin"
    probably = "" if read.word == "outside" else "probably "
    return f"SG {read.reading.sg:.3f} is {probably}outside {_window(facts)}: {side}."


def _too_thick(read: Read) -> bool:
    return read.verdict is not None and read.verdict.difference > 0


def _undecided(read: Read, facts: Facts) -> str:
    known = f" ± {read.verdict.U:.3f}" if read.verdict else ""
    return (
        f"SG {read.reading.sg:.3f}{known} may be inside or outside {_window(facts)}: "
        "measure again, with a larger flask if there is one."
    )


def _window(facts: Facts) -> str:
    return f"{facts.target or 0:.3f} ± {facts.half_window or 0:.3f}"
