"""Rows for the sample addresses: one small studio with something in every state that an address needs."""

from dataclasses import dataclass
from decimal import Decimal
from typing import Any

from buckets.models import Fill
from buckets.operations import care, readings, reports
from studio.people.models import Member
from studio.people.operations import joining, passwords, tokens
from tests import factories


@dataclass
class Studio:
    """The people by the names that the table uses, and what each sample key stands for in an address."""

    people: dict[str, Member]
    tokens: dict[str, int]
    samples: dict[str, dict[str, Any]]

    def kwargs(self, sample: str, who: str) -> dict[str, Any]:
        if sample == "own token":
            return {"pk": self.tokens[who if who in self.tokens else "manager"]}
        return self.samples[sample] if sample else {}


def studio() -> Studio:
    """Make it all, through the acts."""
    people = {
        "member": factories.person("Ilse", signed_off=("dipping", "SG")),
        "learner": factories.person("Wren", "helper"),
        "helper": factories.person("Yusuf", "helper", signed_off=("weighing", "wet mixing")),
        "technician": factories.bram(),
        "manager": factories.person("Odile", "manager"),
    }
    samples = {**_about_people(people), **_about_store(), **_about_making(), **_about_buckets(people)}
    own = {who: tokens.make_token(name="stock list", by=person).pk for who, person in people.items()}
    return Studio(people, own, samples)


def _about_people(people: dict[str, Member]) -> dict[str, dict[str, Any]]:
    manager, helper = people["manager"], people["helper"]
    invitation = joining.invite(name="Marek", role="member", days=7, by=manager)
    allowed = passwords.allow_new_password(member=helper, by=manager)
    return {
        "person": {"pk": helper.pk},
        "invitation": {"pk": invitation.pk},
        "invitation code": {"code": invitation.code},
        "password code": {"pk": helper.pk, "code": allowed.code},
        "sign-off": {"pk": helper.sign_offs.first().pk},
    }


def _about_store() -> dict[str, dict[str, Any]]:
    material = factories.MaterialFactory()
    draft = factories.VersionFactory(name="Rockpool", approved=False, by=factories.tamsin())
    return {
        "vessel": {"code": factories.VesselFactory(code="B20").code},
        "scale": {"pk": factories.ScaleFactory().pk},
        "glass": {"pk": factories.GlassFactory().pk},
        "rule": {"name": "fill_limit_pct"},
        "material": {"pk": material.pk},
        "lot": {"code": material.lots.get().code},
        "recipe": {"pk": draft.recipe_id},
        "draft": {"pk": draft.recipe_id, "number": draft.number},
        "version": {"pk": draft.pk},
    }


def _about_making() -> dict[str, dict[str, Any]]:
    version = factories.VersionFactory(name="Linseed")

    def request(vessel: str) -> Any:
        return factories.RequestFactory(version=version, vessel=factories.VesselFactory(code=vessel))

    def batch(state: str, vessel: str) -> Any:
        return factories.BatchFactory(state=state, request=request(vessel))

    weighing, wet = batch("weighing", "B31"), batch("measured", "B32")
    weighed = wet.lines.first().weighings.first()
    return {
        "request": {"number": request("B33").number},
        "planned": {"number": batch("planned", "B34").number},
        "weighing": {"number": weighing.number},
        "line": {"number": weighing.number, "position": 1},
        "wet": {"number": wet.number},
        "weighed": {"number": wet.number, "pk": weighed.pk},
        "step": {"number": wet.number, "pk": wet.steps.last().pk},
    }


def _about_buckets(people: dict[str, Member]) -> dict[str, dict[str, Any]]:
    fill = factories.FillFactory(vessel=factories.VesselFactory(code="B05"))
    by = people["technician"]
    reading = readings.record_reading(fill=fill, sg=Decimal("1.44"), by=by)
    stirred = care.stir(fill=fill, by=by)
    used = care.log_use(fill=fill, volume_l=Decimal("0.3"), by=by)
    label = factories.LabelFactory(fill=fill)
    reported = factories.FillFactory(vessel=factories.VesselFactory(code="B06"))
    report = reports.report(fill=reported, words="smells of eggs", by=people["member"])
    return {
        "bucket": {"code": fill.vessel.code},
        "fill": {"pk": fill.pk},
        "reading": {"code": fill.vessel.code, "pk": reading.pk},
        "care": {"code": fill.vessel.code, "pk": stirred.pk},
        "use": {"code": fill.vessel.code, "pk": used.pk},
        "bucket report": {"code": reported.vessel.code, "pk": _pk(report)},
        "api reading": {"pk": reading.pk},
        "api care": {"pk": stirred.pk},
        "api use": {"pk": used.pk},
        "api report": {"pk": _pk(report)},
        "label": {"serial": label.serial},
        "labels": {"serials": label.serial},
    }


def _pk(report: Any) -> int:
    return report.reports.first().pk if isinstance(report, Fill) else report.pk
