"""Rows for the sample addresses: one small studio with something in every state that an address needs."""

from dataclasses import dataclass
from decimal import Decimal
from typing import Any

from buckets import pictures
from buckets.models import Fill, Photo, Report
from buckets.operations import care, cups, readings, reports, rounds
from buckets.operations.coating import record_tile
from buckets.operations.settling import observe_settling
from safety.models import Classification
from safety.operations.classifying import classify_version
from studio.people.models import Member
from studio.people.operations import joining, passwords, tokens
from studio.people.operations.notices import tell
from studio.recipes.models import Version
from tests import factories
from tests.buckets.photos import image
from tests.safety.pdfs import on_disk


@dataclass
class Studio:
    """The people by the names that the table uses, and what each sample key stands for in an address."""

    people: dict[str, Member]
    samples: dict[str, dict[str, Any]]
    own: dict[str, dict[str, dict[str, Any]]]  # by person: samples that must be theirs

    def kwargs(self, sample: str, who: str) -> dict[str, Any]:
        theirs = self.own[who if who in self.own else "manager"]
        return {"": {}, **self.samples, **theirs}[sample]


def studio() -> Studio:
    """Make it all, through the acts."""
    people = {
        "member": factories.person("Ilse", signed_off=("dipping", "SG")),
        "learner": factories.person("Wren", "helper"),
        "helper": factories.person("Yusuf", "helper", signed_off=("weighing", "wet mixing")),
        "technician": factories.bram(),
        "manager": factories.person("Odile", "manager"),
    }
    linseed = factories.VersionFactory(name="Linseed")
    samples = {**_about_people(people), **_about_store(), **_about_making(linseed), **_about_buckets(people)}
    return Studio(people, samples, {who: _own(person, linseed) for who, person in people.items()})


def _own(person: Member, version: Version) -> dict[str, dict[str, Any]]:
    request = factories.RequestFactory(version=version, vessel=None, by=person)
    return {
        "own token": {"pk": tokens.make_token(name="stock list", by=person).pk},
        "own request": {"number": request.number},
        "own notice": {"pk": _notice(person)},
    }


def _notice(person: Member) -> int:
    tell([person.pk], "B05 was looked at: it was a false alarm.", "/shelf/")
    return person.notices.first().pk


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
    vessel, lot = factories.VesselFactory(code="B20"), material.lots.get()
    sheet = factories.SheetFactory(material=material, document=on_disk())
    leached = factories.LeachTestFactory(version=draft, document=on_disk())
    return {
        "vessel": {"code": vessel.code},
        "api vessel": {"pk": vessel.pk},
        "scale": {"pk": factories.ScaleFactory().pk},
        "glass": {"pk": factories.GlassFactory().pk},
        "body": {"pk": factories.BodyFactory().pk},
        "hydrometer": {"pk": factories.HydrometerFactory().pk},
        "flow cup": {"pk": factories.FlowCupFactory().pk},
        "rule": {"name": "fill_limit_pct"},
        "check": {"pk": factories.CheckFactory().pk},
        "spill": {"number": factories.SpillFactory().number},
        "injury": {"number": factories.InjuryFactory().number},
        "container": {"pk": factories.ContainerFactory(lot=lot).pk},
        "stock": {"pk": factories.StockFactory().pk},
        "sheet number": {"number": str(sheet)},
        "sheet": {"number": sheet.number},
        "api sheet": {"pk": sheet.pk},
        "leach test": {"number": leached.number},
        "api leach test": {"pk": leached.pk},
        "material": {"pk": material.pk},
        "lot": {"code": lot.code},
        "api lot": {"pk": lot.pk},
        "recipe": {"pk": draft.recipe_id},
        "draft": {"pk": draft.recipe_id, "number": draft.number},
        "version": {"pk": draft.pk},
        "classification": {"number": _on_file(draft).number},
    }


def _on_file(version: Version) -> Classification:
    return classify_version(version=version, by=factories.bram())


def _about_making(version: Version) -> dict[str, dict[str, Any]]:
    def request(vessel: str) -> Any:
        return factories.RequestFactory(version=version, vessel=factories.VesselFactory(code=vessel))

    def batch(state: str, vessel: str) -> Any:
        return factories.BatchFactory(state=state, request=request(vessel))

    weighing, wet = batch("weighing", "B31"), batch("measured", "B32")
    planned = batch("planned", "B34")
    weighed = wet.lines.first().weighings.first()
    return {
        "request": {"number": request("B33").number},
        "planned": {"number": planned.number},
        "planned line": {"number": planned.number, "position": 1},
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
    tile = record_tile(fill=fill, seconds=Decimal(3), coat_g_per_cm2=Decimal("0.08"), by=by)
    seen = {"kind": "clear layer", "sg": Decimal("1.44"), "clear_mm": Decimal(8), "minutes": Decimal(10)}
    looked = observe_settling(fill=fill, by=by, **seen)
    label = factories.LabelFactory(fill=fill)
    timed, dried = factories.FlowFactory(fill=fill), factories.DensityFactory(fill=fill)
    cup = cups.make_cup(fill=fill, volume_l=Decimal("0.3"), to_sg=Decimal("1.38"), by=by)
    reported = factories.FillFactory(vessel=factories.VesselFactory(code="B06"))
    for sg in ("1.45", "1.35"):
        odd = readings.record_reading(fill=reported, sg=Decimal(sg), by=by)
    report = reports.report(fill=reported, words="smells of eggs", by=people["member"])
    return {
        "photo": {"pk": _photo(report), "size": "small"},
        "bucket": {"code": fill.vessel.code},
        "fill": {"pk": fill.pk},
        "reading": {"code": fill.vessel.code, "pk": reading.pk},
        "care": {"code": fill.vessel.code, "pk": stirred.pk},
        "use": {"code": fill.vessel.code, "pk": used.pk},
        "odd reading": {"code": reported.vessel.code, "pk": odd.pk},
        "api odd reading": {"pk": odd.pk},
        "bucket report": {"code": reported.vessel.code, "pk": _pk(report)},
        "api reading": {"pk": reading.pk},
        "flow": {"code": fill.vessel.code, "pk": timed.pk},
        "density": {"code": fill.vessel.code, "pk": dried.pk},
        "api flow": {"pk": timed.pk},
        "api density": {"pk": dried.pk},
        "api care": {"pk": stirred.pk},
        "bucket tile": {"code": fill.vessel.code, "pk": tile.pk},
        "tile": {"pk": tile.pk},
        "bucket settling": {"code": fill.vessel.code, "pk": looked.pk},
        "settling": {"pk": looked.pk},
        "api use": {"pk": used.pk},
        "api report": {"pk": _pk(report)},
        "fill number": {"number": fill.number},
        "cup": {"pk": cup.pk},
        "label": {"serial": label.serial},
        "labels": {"serials": label.serial},
        "round": {"pk": rounds.begin_round(kind="opening", by=by).pk},
    }


def _pk(report: Any) -> int:
    return report.reports.first().pk if isinstance(report, Fill) else report.pk


def _photo(report: Report) -> int:
    """A photo of it with its files, which wait for no commit: these rows are taken back at the end."""
    made = pictures.picture(image())
    pictures.write_all([made])
    digests = {"digest": made.digest, "small_digest": made.small_digest}
    return Photo.objects.create(report=report, width=made.width, height=made.height, **digests).pk
