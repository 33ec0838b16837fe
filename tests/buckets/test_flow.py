"""Seconds through a flow cup, the density of the powder, and the dry glaze in a bucket."""

import html
import re
from datetime import timedelta
from decimal import Decimal
from uuid import uuid4

import pytest
from django.utils import timezone

from buckets.models import Density, Fill, Flow
from buckets.operations.density import measure_density, take_back_density
from buckets.operations.fills import empty_fill
from buckets.operations.flow import mark_flow_reference, record_flow, take_back_flow
from buckets.operations.readings import record_reading
from buckets.queries import fill_in
from buckets.views.bucket import reading_facts
from buckets.views.parts.measured import dry_of, paces
from studio.errors import NotAllowed, Refused
from studio.people.models import Entry
from studio.room import policy
from studio.room.operations.flow_cups import retire_flow_cup
from tests.buckets.rows import fine_scale, found, in_use
from tests.factories import BatchFactory, FlowCupFactory, GlassFactory, RequestFactory, VersionFactory

pytestmark = pytest.mark.django_db

D = Decimal


def text(answer) -> str:
    bare = re.sub(r"<svg.*?</svg>|<[^>]+>", " ", answer.content.decode(), flags=re.S)
    return re.sub(r"\s+", " ", html.unescape(bare))


def timed(by, fill, seconds, **more) -> Flow:
    return record_flow(
        fill=fill, cup=more.pop("cup", None) or FlowCupFactory(), seconds=D(seconds), by=by, **more
    )


# --- flow ---------------------------------------------------------------------------------------------


def test_inside_the_range_of_its_cup_a_nominal_viscosity_is_kept_outside_the_seconds_alone(technician):
    fill = in_use()
    assert timed(technician, fill, "50").viscosity_mm2_s == D("64.5")  # k2
    assert timed(technician, fill, "20").viscosity_mm2_s is None  # k8: out of range
    assert timed(technician, fill, "101").viscosity_mm2_s is None
    own = FlowCupFactory(name="Our own", standard="")
    assert timed(technician, fill, "50", cup=own).viscosity_mm2_s is None


def test_outside_the_range_the_page_says_that_seconds_alone_are_kept(client, member):
    fill, cup = in_use(), FlowCupFactory()
    client.force_login(member)
    data = {"fill": fill.pk, "key": uuid4(), "cup": cup.pk, "seconds": "20,5", "temperature_c": "21"}
    page = text(client.post("/shelf/B02/flow/", data, follow=True))
    assert "outside the 30 to 100 s this cup is made for, so the seconds alone are kept" in page
    row = Flow.objects.get()
    assert (row.seconds, row.temperature_c, row.by) == (D("20.5"), 21, member)
    assert "seconds=20,5" in row.raw


def test_the_newest_is_held_against_the_buckets_own_within_ten_per_cent(technician):
    fill, rules = in_use(), policy.in_force()
    timed(technician, fill, "40", is_reference=True)
    assert paces(fill_in("B02"), rules).word == ""
    for seconds, percent, word in (
        ("44", 10, "as it should"),
        ("44.1", 10.3, "slow"),
        ("35.9", -10.3, "fast"),
    ):
        timed(technician, fill, seconds)
        pace = paces(fill_in("B02"), rules)
        assert (float(pace.percent), pace.word) == (pytest.approx(percent, abs=0.06), word)


def test_two_cups_say_nothing_of_each_other(client, technician):
    fill = in_use()
    timed(technician, fill, "40", is_reference=True)
    timed(technician, fill, "90", cup=FlowCupFactory(name="Our own", standard=""))
    assert paces(fill_in("B02"), policy.in_force()).other_cup
    client.force_login(technician)
    assert "timed through another cup" in text(client.get("/shelf/B02/"))


def test_the_bucket_says_in_words_how_it_flows(client, technician):
    fill = in_use()
    client.force_login(technician)
    assert "Its flow was never timed" in text(client.get("/shelf/B02/"))
    timed(technician, fill, "40", is_reference=True)
    assert "This is how it should flow" in text(client.get("/shelf/B02/"))
    timed(technician, fill, "50")
    page = text(client.get("/shelf/B02/"))
    assert "Too slow: +25 % against its reference, 40 s, and ± 10 % is usual" in page
    assert "Flow timed" in page
    timed(technician, fill, "41")
    assert "As it should: +2.5 % against its reference, 40 s" in text(client.get("/shelf/B02/"))


def test_one_timed_before_is_marked_afterwards_and_stands_once(client, technician, member):
    fill = in_use()
    row = timed(member, fill, "38", temperature_c=D(22), at=timezone.now() - timedelta(hours=2))
    with pytest.raises(NotAllowed):
        mark_flow_reference(flow=row, by=member)
    marked = mark_flow_reference(flow=row, by=technician)
    there = Fill.objects.get(pk=fill.pk)
    assert (there.flow, there.flow_reference) == (marked, marked)
    assert (marked.seconds, marked.at, marked.temperature_c, marked.by) == (38, row.at, 22, member)
    for again in (row, marked):
        with pytest.raises(Refused):
            mark_flow_reference(flow=again, by=technician)
    client.force_login(technician)
    assert text(client.get("/shelf/B02/flows/")).count("38 s") == 1


def test_a_flow_taken_back_leaves_the_one_before(client, technician, member):
    fill = in_use()
    first = timed(technician, fill, "40", is_reference=True)
    wrong = timed(technician, fill, "90")
    with pytest.raises(NotAllowed):
        take_back_flow(flow=wrong, reason="no", by=member)
    client.force_login(technician)
    address = f"/shelf/B02/flows/{wrong.pk}/take-back/"
    assert client.post(address, {"key": uuid4(), "reason": "the hole was blocked"}).status_code == 303
    there = Fill.objects.get(pk=fill.pk)
    assert (there.flow, there.flow_reference) == (first, first)
    assert "taken back the hole was blocked" in text(client.get("/shelf/B02/flows/"))
    with pytest.raises(Refused, match="already taken back"):
        take_back_flow(flow=wrong, reason="again", by=technician)
    take_back_flow(flow=first, reason="other glaze", by=technician)
    there.refresh_from_db()
    assert (there.flow, there.flow_reference) == (None, None)


def test_a_marked_flow_can_be_taken_back_and_neither_row_stands(technician):
    fill = in_use()
    marked = mark_flow_reference(flow=timed(technician, fill, "40"), by=technician)
    take_back_flow(flow=marked, reason="other glaze", by=technician)
    there = Fill.objects.get(pk=fill.pk)
    assert (there.flow, there.flow_reference) == (None, None)


def test_only_a_technician_says_how_it_should_flow(client, member):
    fill, cup = in_use(), FlowCupFactory()
    with pytest.raises(NotAllowed):
        timed(member, fill, "40", is_reference=True)
    client.force_login(member)
    assert 'name="is_reference"' not in client.get("/shelf/B02/flow/").content.decode()
    data = {"fill": fill.pk, "key": uuid4(), "cup": cup.pk, "seconds": "40", "is_reference": "on"}
    client.post("/shelf/B02/flow/", data)
    assert not Flow.objects.get().is_reference


def test_the_same_key_is_one_flow(technician):
    fill, key = in_use(), uuid4()
    assert timed(technician, fill, "40", key=key) == timed(technician, fill, "40", key=key)
    assert Flow.objects.count() == 1


def test_a_cup_that_is_retired_times_nothing(technician):
    fill, cup = in_use(), FlowCupFactory()
    retire_flow_cup(flow_cup=cup, by=technician)
    cup.refresh_from_db()
    with pytest.raises(Refused, match="retired"):
        timed(technician, fill, "40", cup=cup)


def test_what_it_would_take_fully_dispersed_is_there_as_a_hint(client, technician):
    fill = in_use()
    timed(technician, fill, "50", cup=FlowCupFactory(name="The 3 mm cup", standard="ISO2431-3"))
    client.force_login(technician)
    # slurry.md k: about 23 s in the 3 mm cup at SG 1.45, extrapolated
    assert "About 23 s through The 3 mm cup at its target SG" in text(client.get("/shelf/B02/flows/"))


MARKUP = "<script>alert(1)</script>"
WRONG_FLOW = [
    ({"seconds": ""}, "seconds"),
    ({"seconds": "0"}, "seconds"),
    ({"seconds": "-34"}, "seconds"),
    ({"seconds": "901"}, "seconds"),
    ({"seconds": "long"}, "seconds"),
    ({"seconds": "1:05"}, "seconds"),
    ({"seconds": "1e1"}, "seconds"),
    ({"seconds": MARKUP}, "seconds"),
    ({"seconds": "9" * 60}, "seconds"),
    ({"temperature_c": "61"}, "temperature_c"),
    ({"temperature_c": "-1"}, "temperature_c"),
    ({"temperature_c": "cold"}, "temperature_c"),
    ({"temperature_c": "2,"}, "temperature_c"),
    ({"temperature_c": "nan"}, "temperature_c"),
    ({"temperature_c": "1,,2"}, "temperature_c"),
    ({"cup": ""}, "cup"),
    ({"cup": "999999"}, "cup"),
    ({"cup": "x"}, "cup"),
    ({"cup": "-1"}, "cup"),
    ({"cup": "1.0"}, "cup"),
    ({"cup": MARKUP}, "cup"),
    ({"note": "n" * 201}, "note"),
    ({"note": "a\0b"}, "note"),
]


@pytest.mark.parametrize(("said", "field"), WRONG_FLOW)
def test_a_flow_told_wrongly_is_answered_beside_its_field(client, technician, said, field):
    fill, cup = in_use(), FlowCupFactory()
    client.force_login(technician)
    before = Entry.objects.count()
    data = {"fill": fill.pk, "key": uuid4(), "cup": cup.pk, "seconds": "34", **said}
    answer = client.post("/shelf/B02/flow/", data)
    assert answer.status_code == 422
    assert answer.context["form"].errors[field]
    assert MARKUP not in answer.content.decode()
    assert (Flow.objects.count(), Entry.objects.count()) == (0, before)


# --- particle density ---------------------------------------------------------------------------------

# a6: 100 mL weighing 144.7 g dried to 73.2 g: 2.58005
DRIED = {"tare_g": D(60), "gross_g": D("204.7"), "pan_g": D(80), "pan_dry_g": D("153.2")}


def dried(by, fill, **said) -> Density:
    glass = GlassFactory(name="Cylinder 100")
    return measure_density(fill=fill, glass=glass, scale=fine_scale(), by=by, **{**DRIED, **said})


def test_the_powder_of_a_fill_is_measured_and_the_fill_counts_with_it(technician):
    fill = in_use()
    assert fill.particle_density == D("2.731")
    row = dried(technician, fill, raw="pan_dry_g=153,2")
    assert (row.particle_density, row.sg, row.dry_g, row.before) == (
        D("2.580"),
        D("1.4470"),
        D("73.2"),
        D("2.731"),
    )
    # by hand, in g/mL: volume 0.0263, slurry 0.0074, powder 0.0046; together 0.0277
    assert float(row.u) == pytest.approx(0.0277, abs=0.0005)
    fill.refresh_from_db()
    assert fill.particle_density == D("2.580")


def test_warmer_water_is_lighter_and_so_the_powder_comes_out_denser(technician):
    cold = dried(technician, in_use(), temperature_c=D(5)).particle_density
    warm = dried(technician, in_use("B03"), temperature_c=D(35)).particle_density
    assert warm != cold


def test_one_taken_back_leaves_what_was_before(technician):
    fill = in_use()
    first = dried(technician, fill)
    second = dried(technician, fill, pan_dry_g=D("152.9"))
    fill.refresh_from_db()
    assert fill.particle_density == second.particle_density != first.particle_density
    take_back_density(density=second, reason="not dry", by=technician)
    fill.refresh_from_db()
    assert fill.particle_density == first.particle_density
    take_back_density(density=first, reason="not dry either", by=technician)
    fill.refresh_from_db()
    assert fill.particle_density == D("2.731")
    with pytest.raises(Refused, match="already taken back"):
        take_back_density(density=first, reason="again", by=technician)


def test_later_fills_of_the_same_version_start_from_it(technician):
    fill = in_use()
    dried(technician, fill)
    empty_fill(fill=fill, why="used up", by=technician)
    assert found("B03").particle_density == D("2.580")


def test_a_batch_poured_later_starts_from_it_too(technician):
    version = VersionFactory(name="Linseed")
    fill = found("B09", recipe=version.recipe)
    dried(technician, fill)
    poured = BatchFactory(state="testing", request=RequestFactory(version=version))
    assert Fill.objects.get(vessel=poured.vessel, emptied_at=None).particle_density == D("2.580")


def test_only_a_technician_measures_powder(member):
    with pytest.raises(NotAllowed):
        dried(member, in_use())


def test_the_density_is_measured_through_its_page(client, technician):
    fill, glass, scale = in_use(), GlassFactory(), fine_scale()
    client.force_login(technician)
    assert "do not stir or scrape the dry powder" in text(client.get("/shelf/B02/density/"))
    data = {name: str(value) for name, value in (("tare_g_0", 60), ("gross_g_0", "204,7"), ("pan_g_0", 80))}
    data |= {f"{name}_1": "g" for name in DRIED}
    data |= {"pan_dry_g_0": "153,2", "temperature_c": "20", "glass": glass.pk, "scale": scale.pk}
    page = text(client.post("/shelf/B02/density/", {**data, "fill": fill.pk, "key": uuid4()}, follow=True))
    assert "2.580 g/mL ± 0.05" in page
    assert "It counts with 2.58 g/mL" in page


WRONG_DRY = [
    ({"tare_g_0": "0"}, "tare_g"),
    ({"tare_g_0": "light"}, "tare_g"),
    ({"gross_g_0": ""}, "gross_g"),
    ({"gross_g_0": "60"}, "gross_g"),
    ({"gross_g_0": "50"}, "gross_g"),
    ({"gross_g_0": "601"}, "gross_g"),
    ({"gross_g_0": "-1"}, "gross_g"),
    ({"gross_g_0": "1e2"}, "gross_g"),
    ({"pan_g_0": ""}, "pan_g"),
    ({"pan_g_0": "0"}, "pan_g"),
    ({"pan_g_0": "heavy"}, "pan_g"),
    ({"pan_g_1": "stone"}, "pan_g"),
    ({"pan_dry_g_0": ""}, "pan_dry_g"),
    ({"pan_dry_g_0": "80"}, "pan_dry_g"),
    ({"pan_dry_g_0": "79"}, "pan_dry_g"),
    ({"pan_dry_g_0": "90"}, "pan_dry_g"),
    ({"pan_dry_g_0": "300"}, "pan_dry_g"),
    ({"pan_dry_g_0": "220"}, "pan_dry_g"),
    ({"temperature_c": "41"}, "temperature_c"),
    ({"temperature_c": ""}, "temperature_c"),
    ({"temperature_c": "-1"}, "temperature_c"),
    ({"temperature_c": "warm"}, "temperature_c"),
    ({"temperature_c": "2,"}, "temperature_c"),
    ({"temperature_c": "nan"}, "temperature_c"),
    ({"glass": ""}, "glass"),
    ({"glass": "999999"}, "glass"),
    ({"scale": ""}, "scale"),
    ({"scale": "x"}, "scale"),
    ({"note": "n" * 201}, "note"),
]


@pytest.mark.parametrize(("said", "field"), WRONG_DRY)
def test_weights_told_wrongly_are_answered_beside_their_field(client, technician, said, field):
    fill, glass, scale = in_use(), GlassFactory(), fine_scale()
    client.force_login(technician)
    data = {"fill": fill.pk, "key": uuid4(), "glass": glass.pk, "scale": scale.pk, "temperature_c": "20"}
    for name, value in DRIED.items():
        data |= {f"{name}_0": str(value), f"{name}_1": "g"}
    answer = client.post("/shelf/B02/density/", {**data, **said})
    assert answer.status_code == 422
    assert answer.context["form"].errors[field]
    assert not Density.objects.exists()
    fill.refresh_from_db()
    assert fill.particle_density == D("2.731")


# --- dry glaze in the bucket --------------------------------------------------------------------------


def dry(code="B02"):
    fill = fill_in(code)
    return dry_of(fill, reading_facts(fill.check_reading, fill, policy.in_force().repeatability))


def test_the_dry_glaze_in_a_bucket_and_its_doubt(client, technician):
    fill = in_use(litres="8")
    record_reading(fill=fill, by=technician, sg=D("1.45"), u_sg=D("0.0044"))
    told = dry()
    # 8 x 2.731 x 0.45 / 1.731 = 5.680 kg; u in kg by hand: level (2 mm over 5.7 dm2) 0.0468, SG 0.0555,
    # powder (0.05 g/mL) 0.0601
    assert float(told.grams) == pytest.approx(5680, abs=1)
    assert float(told.doubt_g) == pytest.approx(2000 * (0.0468**2 + 0.0555**2 + 0.0601**2) ** 0.5, abs=4)
    assert (told.measured, told.most) == (False, "the density of the powder")
    client.force_login(technician)
    page = text(client.get("/shelf/B02/"))
    assert "Dry glaze in it: 5.68 kg ±" in page
    assert "reckoned from the recipe’s materials" in page


def test_a_measured_powder_makes_the_dry_glaze_better_known(technician):
    fill = in_use(litres="8")
    record_reading(fill=fill, by=technician, sg=D("1.45"), u_sg=D("0.0044"))
    before = dry()
    dried(technician, fill)
    after = dry()
    assert after.measured
    assert after.doubt_g < before.doubt_g


def test_without_reading_or_powder_no_dry_glaze_is_claimed(technician):
    in_use("B03", glaze="Found", litres="5")
    assert dry("B03") is None
