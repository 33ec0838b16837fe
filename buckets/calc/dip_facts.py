"""What the dip check looks at, and the words it answers in. Plain values; nothing is looked up."""

from dataclasses import dataclass
from datetime import datetime
from typing import Literal, NamedTuple

Answer = Literal["dip", "stir first", "measure first", "do not use"]
State = Literal["testing", "in use", "emptied"]
By = Literal["technician", "member"]
Change = Literal["water in", "powder in", "water off", "additive in", "topped up", "thawed"]
Act = Literal["", "stir", "measure", "measure flow", "explain", "thin", "thicken", "lift", "release", "ask"]
Code = Literal[
    "emptied", "held", "testing", "nothing left", "outside",
    "unexplained", "readings disagree", "member outside", "member probably outside", "no reading", "ahead",
    "changed since", "used since", "too old", "not known how well", "undecided", "flow slow", "flow fast",
    "not stirred", "inside", "no window", "stirred", "shallow",
]  # fmt: skip

THINS: frozenset[str] = frozenset({"water in", "topped up"})
THICKENS: frozenset[str] = frozenset({"powder in", "water off", "topped up"})

CHANGED: dict[str, str] = {
    "water in": "Water went in",
    "powder in": "Powder went in",
    "water off": "Water was taken off",
    "additive in": "An additive went in",
    "topped up": "It was topped up",
    "thawed": "It froze and thawed",
}


@dataclass(frozen=True)
class SgReading:
    """One SG as read: its standard uncertainty (None: not known), when, and the litres then if known."""

    sg: float
    u: float | None
    at: datetime
    volume_l: float | None = None


@dataclass(frozen=True)
class FlowReading:
    """Seconds through a flow cup, and the seconds of this fill's own reference through the same cup."""

    seconds: float
    reference_s: float
    at: datetime


@dataclass(frozen=True)
class Facts:
    """All that the dip check looks at.

    ``held_reason`` None means not held. ``half_window`` or ``target`` None: no window, so an SG is not
    judged. ``technician`` and ``member`` are the last reading of each, whichever is newer. ``change`` at
    ``changed_at`` is the newest thing done that a reading before it does not know of; ``thinned_at`` and
    ``thickened_at`` say when something last made it thinner or thicker, if that was not the newest.
    ``unexplained``: the technician's newest reading was not as expected and nobody has said why.
    ``volume_l``, ``depth_cm`` None: not known.
    """

    state: State
    held_reason: str | None = None
    technician: SgReading | None = None
    member: SgReading | None = None
    target: float | None = None
    half_window: float | None = None
    technician_valid_days: float = 7.0
    member_valid_days: float = 2.0
    heavy_use_l: float = 2.0  # gone since a reading: from there on it counts for the shorter time
    heavy_use_valid_days: float = 2.0  # both common practice, no source
    stirred_at: datetime | None = None
    settles_min: float = 5.0  # common practice, no source; a recipe or an observation may say otherwise
    volume_l: float | None = None
    depth_cm: float | None = None
    keep_depth_cm: float = 10.0  # common practice, no source
    change: Change | None = None
    changed_at: datetime | None = None
    thinned_at: datetime | None = None
    thickened_at: datetime | None = None
    unexplained: bool = False
    flow: FlowReading | None = None
    flow_within_pct: float = 10.0  # common practice, no source

    def thinned_since(self, moment: datetime) -> bool:
        """Whether something that thins went in then or later."""
        return self._since(moment, self.thinned_at, THINS)

    def thickened_since(self, moment: datetime) -> bool:
        """Whether something that thickens was done then or later."""
        return self._since(moment, self.thickened_at, THICKENS)

    def _since(self, moment: datetime, at: datetime | None, kinds: frozenset[str]) -> bool:
        newest = self.changed_at if self.change in kinds else None
        return any(done is not None and done >= moment for done in (at, newest))


class Reason(NamedTuple):
    """Why, for programs and for people. The sentence carries no name and no clock time.

    ``act`` is the one short act that would change it; empty where none does.
    """

    code: Code
    sentence: str
    act: Act = ""


class Finding(NamedTuple):
    """A reason and the answer it would give if it stood alone."""

    answer: Answer
    reason: Reason
