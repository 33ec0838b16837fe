"""Good requests for the acts on safety checks, spills and injuries."""

from datetime import timedelta
from typing import Any

from django.utils import timezone

from tests import factories

Act = tuple[str, dict[str, Any]]


def acts() -> dict[str, Act]:
    """By the name of the act: its address and a body that is taken. Words and people are invented."""
    wrong, spill, injury = factories.CheckFactory(), factories.SpillFactory(), factories.InjuryFactory()
    bo = factories.person("Bo")
    day = (timezone.localdate() - timedelta(days=3)).isoformat()
    fits = {"kind": "respirator", "person": bo.pk, "good": "yes", "found": "fits, filters new"}
    return {
        "record_check": ("checks/record-check/", {**fits, "done_on": day}),
        "tick_cleaning": ("checks/tick-cleaning/", {"place": "weighing bench"}),
        "correct_check": (f"checks/{wrong.pk}/correct-check/", {"good": "no", "found": "gauge at 0 Pa"}),
        "report_spill": ("spills/report-spill/", {"kind": "dry powder", "place": "by the scale"}),
        "add_to_spill": (f"spills/{spill.number}/add-to-spill/", {"what": "bagged", "closes": True}),
        "report_injury": ("injuries/report-injury/", {"kind": "in the eye", "words": "splashed, rinsed"}),
        "add_to_injury": (f"injuries/{injury.number}/add-to-injury/", {"what": "seen by a doctor"}),
    }
