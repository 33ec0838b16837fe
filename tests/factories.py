"""Rows for tests. Where history matters the acts make them: none is in a state that no act leads to.

Names and figures are those of the demo studio's description ("demo_studio.md" 1 to 4) unless said.
Bram makes, Tamsin approves, Odile manages; they are made when first needed.
"""

from datetime import timedelta
from decimal import Decimal
from typing import Any

import factory
from django.utils import timezone

from batches.models import Batch, Request
from batches.operations import batches, weighing, wet
from batches.operations.requests import approve_request, ask_for_glaze
from buckets.models import Fill
from buckets.operations import holding, pouring
from buckets.operations.density import measure_density
from buckets.operations.fills import empty_fill, take_over_bucket
from buckets.operations.flow import record_flow
from buckets.operations.labels import print_bucket_label
from safety.calc.hazards import Hazards
from safety.gates import gate_of
from safety.models import Label
from safety.operations.checks import record_check
from safety.operations.contact import Report, TypedResult, record_leach_test
from safety.operations.containers import add_container
from safety.operations.incidents import report_injury, report_spill
from safety.operations.sheets import acknowledge, file_sheet
from safety.operations.stocks import add_stock
from studio.materials.models import Lot, Material
from studio.materials.operations.materials import add_material
from studio.materials.operations.stock import receive_lot
from studio.people.models import Member, SignOff
from studio.people.operations.pins import set_pin
from studio.recipes.models import Line, Version
from studio.recipes.operations.recipes import TypedLine, add_recipe, approve_version
from studio.room.models import Body, FlowCup, Glass, Hydrometer, Scale, Vessel
from studio.room.operations.bodies import add_body
from studio.room.operations.flow_cups import add_flow_cup
from studio.room.operations.hydrometers import add_hydrometer
from studio.room.operations.instruments import add_glass, add_scale
from studio.room.operations.vessels import add_vessel

PASSWORD = "slow-wet-clay"


# --- people -------------------------------------------------------------------------------------------


class MemberFactory(factory.django.DjangoModelFactory):
    """A person who signs in with their name in small letters and PASSWORD; the same name, the same person."""

    class Meta:
        model = Member
        django_get_or_create = ("username",)
        skip_postgeneration_save = True

    name = factory.Sequence(lambda n: f"Person {n}")
    username = factory.LazyAttribute(lambda m: m.name.lower().replace(" ", "."))
    role = "member"
    password = factory.django.Password(PASSWORD)


class SignOffFactory(factory.django.DjangoModelFactory):
    """A sign-off given by Odile, in force for 30 days."""

    class Meta:
        model = SignOff

    member = factory.SubFactory(MemberFactory, role="helper")
    kind = "weighing"
    given_by = factory.SubFactory(MemberFactory, name="Odile", role="manager")
    expires_on = factory.LazyFunction(lambda: timezone.localdate() + timedelta(days=30))


def person(name: str, role: str = "member", *, signed_off: tuple[str, ...] = ()) -> Member:
    """A member by name; ``signed_off`` holds the kinds of work they are signed off for."""
    row = MemberFactory(name=name, role=role)
    for kind in signed_off:
        SignOffFactory(member=row, kind=kind)
    return row


def the_room() -> Member:
    """The account of the shared tablet; signs in as "room" with PASSWORD."""
    return MemberFactory(name="the room", username="room", role="the room")


def with_pin(member: Member, pin: str = "7308") -> Member:
    """The same person, with a PIN for the tablet."""
    return set_pin(current=PASSWORD, pin=pin, by=member)


def bram() -> Member:
    """The technician who makes things here."""
    return person("Bram", "technician")


def tamsin() -> Member:
    """The technician who approves what Bram made."""
    return person("Tamsin", "technician")


class ActFactory(factory.Factory):
    """A row made by an act: ``Meta.model`` is called with the arguments, Bram doing it unless told."""

    class Meta:
        abstract = True

    by = factory.LazyFunction(bram)

    @classmethod
    def _adjust_kwargs(cls, **said: Any) -> dict[str, Any]:
        return {name: _exact(name, value) for name, value in said.items()}


def _exact(name: str, value: Any) -> Any:
    amounts = ("_g", "_cm", "_l", "_ml", "_kg", "sg", "density")
    return Decimal(value) if isinstance(value, str) and name.endswith(amounts) else value


# --- the room -----------------------------------------------------------------------------------------


def _vessel(**said: Any) -> Vessel:
    return Vessel.objects.filter(code=said["code"]).first() or add_vessel(**said)


def _scale(**said: Any) -> Scale:
    return Scale.objects.filter(name=said["name"]).first() or add_scale(**said)


def _glass(**said: Any) -> Glass:
    return Glass.objects.filter(name=said["name"]).first() or add_glass(**said)


class VesselFactory(ActFactory):
    """A pail P20: 20.36 L to the brim, 17.31 L at 85 %. The same code, the same vessel."""

    class Meta:
        model = _vessel

    code = factory.Sequence(lambda n: f"B{n + 50:02}")
    bottom_cm = "25.6"
    top_cm = "28.8"
    height_cm = "35.0"
    empty_g = "1135"
    place = "shelf A1"


class ScaleFactory(ActFactory):
    """The bulk scale: 5 kg in steps of 1 g. The same name, the same scale."""

    class Meta:
        model = _scale

    name = "Bulk scale"
    division_g = "1"
    capacity_g = "5000"


class GlassFactory(ActFactory):
    """The cylinder: 100 mL, class A, ± 0.50 mL; its weight is from memory. The same name, the same glass."""

    class Meta:
        model = _glass

    name = "Cylinder 100"
    kind = "cylinder"
    volume_ml = "100"
    tolerance_ml = "0.50"
    empty_g = "65.7"


def _hydrometer(**said: Any) -> Hydrometer:
    return Hydrometer.objects.filter(name=said["name"]).first() or add_hydrometer(**said)


class HydrometerFactory(ActFactory):
    """A glass one from 1.400 to 1.600 in steps of 0.002, made for 20 C; invented."""

    class Meta:
        model = _hydrometer

    name = "Long hydrometer"
    shows = "SG"
    division = Decimal("0.002")


def _flow_cup(**said: Any) -> FlowCup:
    return FlowCup.objects.filter(name=said["name"]).first() or add_flow_cup(**said)


class FlowCupFactory(ActFactory):
    """A cup of ISO 2431 with a 4 mm hole; its name is invented."""

    class Meta:
        model = _flow_cup

    name = "The 4 mm cup"
    standard = "ISO2431-4"


def _body(**said: Any) -> Body:
    return Body.objects.filter(name=said["name"]).first() or add_body(**said)


class BodyFactory(ActFactory):
    """A buff stoneware with the wall of scenario B: 5 mm, 11 %, 1.90 g/mL, 0.018 g/cm2/h."""

    class Meta:
        model = _body

    name = "Buff stoneware"
    bisque_cone = "06"
    absorption_pct = Decimal(11)
    bulk_density = Decimal("1.90")
    drying_g_per_cm2_h = Decimal("0.018")
    wall_mm = Decimal(5)


# --- store and recipes --------------------------------------------------------------------------------

# Linseed, cone 6: material, kind, parts, density (reference table, frits 2.50), hazard line
LINSEED = (
    ("Potash feldspar", "base", "27", "2.56", "silica dust"),
    ("Frit L", "base", "19", "2.50", "low"),
    ("Whiting", "base", "11", "2.71", "low"),
    ("Kaolin", "base", "17", "2.59", "silica dust"),
    ("Silica", "base", "26", "2.648", "respirable silica"),
    ("Red iron oxide", "addition", "4.5", "5.25", "low"),
)


def _material(**said: Any) -> Material:
    return Material.objects.filter(name=said["name"]).first() or add_material(**said)


class MaterialFactory(ActFactory):
    """A material with 25 kg of opening stock in a released lot. The same name, the same material."""

    class Meta:
        model = _material

    name = "Silica"
    density = "2.648"
    hazard_words = "respirable silica"
    opening_g = "25000"
    opening_price_per_kg = "0.62"


class LotFactory(ActFactory):
    """A delivery of 10 kg, released."""

    class Meta:
        model = receive_lot

    material = factory.SubFactory(MaterialFactory)
    mass_g = "10000"
    price_per_kg = "0.62"
    state = Lot.State.RELEASED


def linseed_lines() -> list[TypedLine]:
    """The lines of Linseed, their materials in the store."""
    return [
        TypedLine(
            kind=Line.Kind(kind),
            material=MaterialFactory(name=name, density=density, hazard_words=hazard),
            typed_name=name,
            parts=Decimal(parts),
            typed=parts,
        )
        for name, kind, parts, density, hazard in LINSEED
    ]


def _version(*, approved: bool, **said: Any) -> Version:
    version = add_recipe(**said)
    if approved:
        approve_version(version=version, by=tamsin())
    return Version.objects.select_related("recipe").get(pk=version.pk)


class VersionFactory(ActFactory):
    """Version 1 of a recipe of Bram's, approved by Tamsin unless told otherwise."""

    class Meta:
        model = _version

    name = factory.Sequence(lambda n: f"Linseed {n}" if n else "Linseed")
    look = "transparent gloss, amber"
    cone = "6"
    target_sg = "1.43"
    sieve_mesh = 80
    lines = factory.LazyFunction(linseed_lines)
    approved = True


# --- making -------------------------------------------------------------------------------------------


class RequestFactory(ActFactory):
    """Ilse asks for 4 kg of dry base, into a clean pail."""

    class Meta:
        model = ask_for_glaze

    by = factory.LazyFunction(lambda: person("Ilse"))
    version = factory.SubFactory(VersionFactory)
    vessel = factory.SubFactory(VesselFactory)
    wish = Request.Wish.DRY_BASE
    dry_g = "4000"


def let_through(batch: Batch) -> Batch:
    """Bram lets the materials of a batch be weighed without a sheet: most tests file none."""
    for line in batch.lines.select_related("material"):
        if gate_of(line.material, what=str(batch), today=timezone.localdate()).stopped:
            acknowledge(material=line.material, what=str(batch), reason="its sheet is asked for", by=bram())
    return batch


def _begun(batch: Batch) -> None:
    pouring.begin_batch(batch=batch, by=bram())
    batch.refresh_from_db()
    let_through(batch)
    wet.add_water(batch=batch, water_l=batch.first_water_l, by=bram())


def _weighed(batch: Batch) -> None:
    for line in batch.lines.all():
        lot = Lot.objects.filter(material=line.material, state=Lot.State.RELEASED).first()
        weighing.weigh_line(line=line, lot=lot, net_g=line.target_g, by=bram())


def _measured(batch: Batch) -> None:
    wet.add_water(batch=batch, water_l=batch.water_l - batch.first_water_l, by=bram())
    sg, litres = batch.to_sg, batch.to_volume_l
    wet.record_batch_reading(batch=batch, sg=sg, u_sg=Decimal("0.004"), volume_l=litres, by=bram())


def _poured(batch: Batch) -> None:
    pouring.pour_batch(batch=batch, vessel=batch.vessel, by=bram())


def _released(batch: Batch) -> None:
    holding.release_fill(fill=Fill.objects.get(vessel=batch.vessel, emptied_at=None), by=bram())


WAYS = {
    "planned": (),
    "weighing": (_begun,),
    "paused": (_begun, lambda batch: batches.pause_batch(batch=batch, by=bram())),
    "held": (_begun, lambda batch: batches.hold_batch(batch=batch, reason="the scale jumps", by=bram())),
    "abandoned": (
        _begun,
        lambda batch: pouring.abandon_in_bucket(batch=batch, reason="wrong kaolin", by=bram()),
    ),
    "wet": (_begun, _weighed),
    "measured": (_begun, _weighed, _measured),
    "rejected": (
        _begun,
        _weighed,
        _measured,
        lambda batch: batches.reject_batch(batch=batch, reason="lumps", by=bram()),
    ),
    "testing": (_begun, _weighed, _measured, _poured),
    "released": (_begun, _weighed, _measured, _poured, _released),
}


def _batch(*, request: Request, state: str, by: Member) -> Batch:
    ScaleFactory(by=bram())
    ScaleFactory(name="Fine scale", division_g="0.1", capacity_g="600")
    batch = approve_request(request=request, by=by)
    for step in WAYS[state]:
        step(batch)
        batch.refresh_from_db()
    return batch


class BatchFactory(ActFactory):
    """A batch in a ``state`` named in WAYS: its own states, "held", and "measured" (wet, with a reading)."""

    class Meta:
        model = _batch

    by = factory.LazyFunction(tamsin)
    request = factory.SubFactory(RequestFactory)
    state = "planned"


# --- buckets and labels -------------------------------------------------------------------------------


def _fill(*, state: str, **said: Any) -> Fill:
    fill = take_over_bucket(**said)
    if state == "in use":
        holding.release_fill(fill=fill, by=tamsin())
    elif state == "held":
        holding.hold_fill(fill=fill, reason="blue specks", by=tamsin())
    elif state == "emptied":
        empty_fill(fill=fill, why="hard as a brick", by=tamsin())
    return Fill.objects.select_related("vessel").get(pk=fill.pk)


class FillFactory(ActFactory):
    """8.3 L of Linseed at 1.43 found in a pail; ``state`` is testing, in use, held or emptied."""

    class Meta:
        model = _fill

    vessel = factory.SubFactory(VesselFactory)
    recipe = factory.LazyFunction(lambda: VersionFactory().recipe)
    volume_l = "8.3"
    sg = "1.43"
    state = "in use"


class FlowFactory(ActFactory):
    """34 s through the 4 mm cup; invented."""

    class Meta:
        model = record_flow

    fill = factory.SubFactory(FillFactory)
    cup = factory.SubFactory(FlowCupFactory)
    seconds = Decimal(34)


class DensityFactory(ActFactory):
    """100 mL of 144.7 g that dry to 73.2 g: powder of 2.580 g/mL (slurry_checks.json a6)."""

    class Meta:
        model = measure_density

    fill = factory.SubFactory(FillFactory)
    glass = factory.SubFactory(GlassFactory)
    scale = factory.SubFactory(ScaleFactory, name="Fine scale", division_g="0.1", capacity_g="600")
    tare_g = "60"
    gross_g = "204.7"
    pan_g = "80"
    pan_dry_g = "153.2"


def _label(*, fill: Fill, by: Member) -> Label:
    return print_bucket_label(fill=fill, by=by)


class SheetFactory(ActFactory):
    """A supplier's sheet that says: not hazardous. Filed with nothing more."""

    class Meta:
        model = file_sheet

    material = factory.SubFactory(MaterialFactory)
    product = "Plain powder"
    supplier = "Tollgate Minerals"
    hazards = Hazards(stated="not hazardous")


def leach_report(**changed: Any) -> Report:
    """Six mugs by an invented laboratory, reported ten days ago."""
    said: dict[str, Any] = {
        "clay": "buff stoneware",
        "firing": "cone 6, oxidation",
        "laboratory": "Fernhill Testing",
        "report_number": "FT-118",
        "reported_on": timezone.localdate() - timedelta(days=10),
        "method": "ISO 6486-1",
        "temperature_c": Decimal(22),
        "depth_mm": Decimal(80),
        "volume_ml": Decimal(350),
        "use": "cup",
        "pieces": 6,
        "limit_set": "EU 84/500",
    }
    return Report(**{**said, **changed})


def leached(lead: str = "0.2", cadmium: str = "0.01", pieces: int = 6) -> list[TypedResult]:
    """The same result of every piece, mg/L; of cadmium nothing was found."""
    return [
        TypedResult(piece=piece, element=element, value=Decimal(value), unit="mg/L", below=element == "Cd")
        for element, value in (("Pb", lead), ("Cd", cadmium))
        for piece in range(1, pieces + 1)
    ]


class LeachTestFactory(ActFactory):
    """A leach test within the limits of the EU."""

    class Meta:
        model = record_leach_test

    version = factory.SubFactory(VersionFactory)
    report = factory.LazyFunction(leach_report)
    results = factory.LazyFunction(leached)


class ContainerFactory(ActFactory):
    """A tub of 2 L decanted from a lot, with its label."""

    class Meta:
        model = add_container

    kind = "tub"
    what = ""
    capacity_l = "2"


class StockFactory(ActFactory):
    """Six labels of 99 × 91 mm on A4; sizes invented."""

    class Meta:
        model = add_stock

    name = factory.Sequence(lambda n: f"Six on A4, box {n}")
    paper = "A4"
    width_mm = Decimal(99)
    height_mm = Decimal(91)
    columns = 2
    rows = 3
    left_mm = Decimal(5)
    top_mm = Decimal(8)
    gap_x_mm = Decimal(2)
    gap_y_mm = Decimal("1.5")


class CheckFactory(ActFactory):
    """The extraction, looked at and in order."""

    class Meta:
        model = record_check

    kind = "extraction"
    good = True


class SpillFactory(ActFactory):
    """A spill that nobody has seen to yet; invented."""

    class Meta:
        model = report_spill

    what = "Dry powder. About a cup of silica."
    place = "by the scale"


class InjuryFactory(ActFactory):
    """An injury that nobody has seen to yet; invented."""

    class Meta:
        model = report_injury

    what = "In the eye. A splash of glaze."
    place = "at the buckets"


class LabelFactory(ActFactory):
    """A bucket label, printed."""

    class Meta:
        model = _label

    fill = factory.SubFactory(FillFactory)
