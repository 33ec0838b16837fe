"""What a bucket needs: from the newest reading to the target, and from SG and flow to the sentence."""

from dataclasses import dataclass
from decimal import Decimal
from typing import Any

from django.urls import NoReverseMatch, reverse

from buckets.advice import ToTarget, to_target
from buckets.calc import flow_table
from buckets.models import Fill
from buckets.queries import Changed
from studio.room.policy import Policy

Facts = dict[str, Any]


@dataclass(frozen=True, kw_only=True)
class FlowAdvice:
    """The cell of the table that the bucket is in; seconds as timed and as they should be."""

    cell: flow_table.Cell
    side: flow_table.Side
    pace: flow_table.Pace
    seconds: Decimal
    reference_s: Decimal
    mark: str = flow_table.MARK


def needs(fill: Fill, reading: Facts | None, changed: Changed, rules: Policy) -> Facts:
    """Amounts for each way to the target, and what SG and flow say together. No query of its own.

    ``reading`` is the newest with its verdict, ``changed`` what was done since: after it the reading no
    longer says what is in the bucket, and nothing is advised but to measure.
    """
    stale = reading is not None and changed.at is not None and changed.at >= reading["row"].at
    advice = to_target(fill, float(rules.bed_solids_pct) / 100)
    thicken = advice is not None and advice.way == "thicken"
    return {
        "advice": advice,
        "stale": stale,
        "changed": changed,
        "limit_l": fill.vessel.limit_l(rules.fill_limit_pct),
        "dry_mark_cm": _mark_cm(fill, advice) if thicken else None,
        "bed_pct": rules.bed_solids_pct,
        "dissolved_pct": _percent(advice.dissolved_share if advice else None),
        "no_decant": _why_not(fill),
        "blend_url": _blend_url(fill),
        "flow": None if stale else _flow(fill, reading, rules),
    }


def _mark_cm(fill: Fill, advice: ToTarget | None) -> float | None:
    """The depth at which enough water will have dried off."""
    if advice is None or advice.left_l is None:
        return None
    return fill.vessel.depth_of_cm(min(float(advice.left_l), fill.vessel.brim_l()))


def _percent(share: Decimal | None) -> Decimal | None:
    return None if share is None else round(100 * share, 1)


def _why_not(fill: Fill) -> str:
    if fill.soluble:
        return "something in this recipe dissolves and would go with it"
    return "" if fill.contents else "what dissolves in it is not known"


def _blend_url(fill: Fill) -> str:
    """Where it is put together with another bucket; nothing while no page does that."""
    try:
        return reverse("blend-fill", args=[fill.vessel.code])
    except NoReverseMatch:
        return ""


def _flow(fill: Fill, reading: Facts | None, rules: Policy) -> FlowAdvice | None:
    """Where the bucket is in the table; None without a verdict, or without two flows of one cup.

    A flow says nothing once something went in or off after it, whatever was measured since.
    """
    flow, reference = fill.flow, fill.flow_reference
    verdict = reading["verdict"] if reading else None
    if flow is None or reference is None or flow.pk == reference.pk or verdict is None:
        return None
    if flow.cup_id != reference.cup_id or not flow.seconds or not reference.seconds:
        return None
    if verdict.word == "undecided" or getattr(fill, "flow_spoilt", True):
        return None
    if reading is None or flow.at < reading["row"].at - flow_table.SAME_STATE:
        return None
    side: flow_table.Side = "ok"
    if verdict.word == "outside":
        side = "high" if verdict.difference > 0 else "low"
    within = float(rules.flow_within_pct) / 100
    pace = flow_table.pace_of(
        seconds=float(flow.seconds), reference_s=float(reference.seconds), within=within
    )
    return FlowAdvice(
        cell=flow_table.cell_of(side=side, pace=pace),
        side=side,
        pace=pace,
        seconds=flow.seconds,
        reference_s=reference.seconds,
    )
