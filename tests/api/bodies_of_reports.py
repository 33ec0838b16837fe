"""Good requests for the acts on reports, notices and lots in doubt."""

from typing import Any

from django.utils import timezone

from buckets.operations import lots, reports
from studio.materials.models import Lot
from studio.people.operations.notices import tell
from tests import factories

Act = tuple[str, dict[str, Any]]


def acts(boss: Any) -> dict[str, Act]:
    """A report with its window, a tinted fill, two lots in buckets of which one is held, and a notice."""
    by, tam = factories.bram(), factories.tamsin()
    tell([boss.pk], "B05 was looked at: it is put right and released.", "/shelf/B05/")
    notice = boss.notices.get()
    reported, tinted = (factories.FillFactory(vessel=factories.VesselFactory()) for _ in range(2))
    report = reports.report(fill=reported, kind="specks", by=tam)
    tint = reports.report(fill=tinted, kind="specks", by=tam)
    reports.answer_report(report=tint, answer="specks stay on the mesh", decision="tinted", by=by)
    lot, other = _lots_in_a_bucket()
    lots.hold_all_of_lot(lot=other, reason="grey specks", by=by)
    when = timezone.localtime(report.at).isoformat()
    return {
        "mark_read": (f"notices/{notice.pk}/mark-read/", {}),
        "mark_all_read": ("notices/mark-all-read/", {}),
        "set_doubt": (f"reports/{report.pk}/set-doubt/", {"good_until": when, "good_why": "a fired mug"}),
        "clear_tint": (f"fills/{tinted.pk}/clear-tint/", {"decision": "tile and reading are good"}),
        "hold_all_of_lot": (f"lots/{lot.pk}/hold-all-of-lot/", {"reason": "wrong grade"}),
        "lift_all_of_lot": (f"lots/{other.pk}/lift-all-of-lot/", {"decision": "only dust on the bag"}),
    }


def _lots_in_a_bucket() -> list[Lot]:
    version = factories.VersionFactory(name="Bottle Kiln")
    request = factories.RequestFactory(version=version, vessel=factories.VesselFactory())
    batch = factories.BatchFactory(state="released", request=request)
    return [line.weighings.first().lot for line in batch.lines.all()[:2]]
