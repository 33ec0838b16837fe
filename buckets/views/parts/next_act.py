"""Which act is the strong one at the bucket: the first that would change the answer and that one may do."""

from collections.abc import Callable
from dataclasses import dataclass
from typing import Any, NamedTuple

from django.urls import NoReverseMatch, reverse

from buckets.calc.dip import DipCheck
from buckets.models import Fill
from studio.people import rights
from studio.people.models import Member


@dataclass(frozen=True, kw_only=True)
class NextAct:
    """``code`` as the dip check names it; ``url`` only for what has no button of its own in the row."""

    code: str
    words: str = ""
    icon: str = ""
    url: str = ""


class _Way(NamedTuple):
    right: str
    words: str
    icon: str
    url_name: str
    args: Callable[[Fill], list[Any]] = lambda fill: [fill.vessel.code]


IN_THE_ROW = {"stir": rights.USE, "measure": rights.USE, "thin": rights.WET, "use": rights.USE}
WAYS = {
    "explain": _Way(
        rights.MAKE,
        "Say why it was not as expected",
        "caution",
        "explain-reading",
        lambda fill: [fill.vessel.code, fill.unexplained_id],
    ),
    "measure flow": _Way(rights.USE, "Time the flow", "clock", "record-flow"),
    "thicken": _Way(rights.MAKE, "Powder in", "powder", "powder-in"),
    "lift": _Way(rights.MAKE, "Lift the hold", "lock", "lift-hold"),
    "release": _Way(rights.MAKE, "Release into use", "tick", "release-fill"),
}


def next_act(fill: Fill, check: DipCheck, reader: Member | None) -> NextAct | None:
    """What to do now; None where the reader may do nothing about it. No query of its own."""
    if reader is None:
        return None
    for act in (*check.acts, *(("use",) if check.answer == "dip" else ())):
        if act in IN_THE_ROW and reader.may(IN_THE_ROW[act]):
            return NextAct(code=act)
        way = WAYS.get(act)
        if way is not None and reader.may(way.right) and (url := _url(way, fill)):
            return NextAct(code=act, words=way.words, icon=way.icon, url=url)
    return None


def _url(way: _Way, fill: Fill) -> str:
    """Its address; nothing while no page does that."""
    try:
        return reverse(way.url_name, args=way.args(fill))
    except NoReverseMatch:
        return ""
