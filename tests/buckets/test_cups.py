"""A side cup is made, labelled, gone; never poured back. Numbers: scenario B5, B7 of "day_in_the_room.md",
slurry.md c and d."""

import re
from datetime import timedelta
from decimal import Decimal
from io import BytesIO
from uuid import uuid4

import pypdf
import pytest
from django.urls import URLPattern, get_resolver, reverse
from django.utils import timezone
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from buckets.models import Cup, Fill, Report, Use
from buckets.operations.care import log_use, take_back_use, water_in
from buckets.operations.cups import cup_gone, cup_mix, make_cup, report_cup
from buckets.operations.holding import hold_fill
from buckets.operations.readings import record_reading
from safety.models import Label
from studio.api_kit.schema import whole_schema
from studio.errors import Refused
from tests.batches.words import words_of
from tests.buckets.rows import in_use

pytestmark = pytest.mark.django_db
D = Decimal
PEAT = {
    "glaze": "Peat Pool",
    "cone": "10",
    "target_sg": D("1.46"),
    "particle_density": D("2.722"),  # day_in_the_room.md B
}


@pytest.fixture
def b09(technician, member):
    """8.83 L of Peat Pool, 1.470 by a member's flask (B3, B4)."""
    fill = in_use("B09", litres="8.83", **PEAT)
    record_reading(fill=fill, sg=D("1.459"), by=technician, at=timezone.now() - timedelta(days=9))
    record_reading(fill=fill, sg=D("1.470"), u_sg=D("0.0034"), by=member)
    fill.refresh_from_db()
    return fill


def cup_of(fill, by, litres="0.3", sg="1.38", **said):
    return make_cup(fill=fill, volume_l=D(litres), to_sg=D(sg), by=by, **said)


def test_scenario_b5_300_ml_at_1_38(b09, member):
    cup = cup_of(b09, member)
    assert cup.stock_l == D("0.243")  # 242.6 mL, kept in whole millilitres
    assert cup.water_l == D("0.057")
    assert cup.dry_g == pytest.approx(D("180.2"), abs=D("0.1"))
    assert (cup.from_sg, cup.powder_g) == (D("1.47"), None)
    assert (cup.use.volume_l, cup.use.by) == (D("0.243"), member)
    b09.refresh_from_db()
    assert b09.volume_l == D("8.587")


def test_scenario_b8_the_cup_and_two_pieces_leave_8_49_litres(b09, member):
    cup_of(b09, member)
    log_use(fill=b09, volume_l=D("0.098"), pieces=2, by=member)
    b09.refresh_from_db()
    assert b09.volume_l == pytest.approx(D("8.49"), abs=D("0.005"))
    assert b09.member_reading.sg == D("1.470")  # SG unchanged by use


def test_thicker_takes_powder(b09, member):
    """slurry.md d: x = V (rho2 - rho1) rho_s / (rho_s - rho1), worked here by hand for 0.2 L at 1.60."""
    mix = cup_mix(b09, D("0.2"), D("1.60"), timezone.now())
    grams = 200 * 0.13 * 2.722 / (2.722 - 1.47)
    assert float(mix.powder_g) == pytest.approx(grams, abs=0.05)
    assert float(mix.stock_l) == pytest.approx(0.2 - grams / 2722, abs=0.0005)
    assert (mix.water_l, mix.thinner) == (None, False)


@settings(max_examples=50, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(litres=st.integers(10, 5000), to_sg=st.integers(1050, 1700))
def test_a_cup_holds_what_was_put_into_it(b09, litres, to_sg):
    """Volumes and masses of what goes in are those of the cup that is wanted, but for whole millilitres."""
    volume_l, wanted = D(litres) / 1000, D(to_sg) / 1000
    mix = cup_mix(b09, volume_l, wanted, timezone.now())
    powder_g, water_l = mix.powder_g or D(0), mix.water_l or D(0)
    assert abs(mix.stock_l + water_l + powder_g / 1000 / D("2.722") - volume_l) <= D("0.001")
    grams = 1000 * (mix.stock_l * D("1.470") + water_l) + powder_g
    assert abs(grams - 1000 * volume_l * wanted) <= D("0.8")


def test_scenario_b7_a_squeeze_bottle_by_standing_open(client, b09, member):
    client.force_login(member)
    address = reverse("make-cup", args=["B09"])
    said = words_of(client.get(address, {"bottle_0": "60", "bottle_1": "mL", "bottle_sg": "1.55"}))
    assert "Start with 70.2 mL" in said
    assert "until 10.2 mL of water have gone" in said


@pytest.mark.parametrize(
    ("asked", "sentence"),
    [
        ({"bottle_0": "60", "bottle_1": "mL", "bottle_sg": ""}, "Say both"),
        ({"bottle_0": "", "bottle_1": "mL", "bottle_sg": "1.55"}, "Say both"),
        ({"bottle_0": "60", "bottle_1": "mL", "bottle_sg": "1.40"}, "makes it thicker, not 1.400"),
        ({"bottle_0": "60", "bottle_1": "mL", "bottle_sg": "155"}, "can be read as"),
        ({"bottle_0": "much", "bottle_1": "mL", "bottle_sg": "1.55"}, "not a number"),
        ({"bottle_0": "-60", "bottle_1": "mL", "bottle_sg": "1.55"}, "more than 0"),
        ({"bottle_0": "60", "bottle_1": "L", "bottle_sg": "1.55"}, "at most 5 L"),
    ],
)
def test_a_bottle_asked_wrongly_says_what_is_missing(client, b09, member, asked, sentence):
    client.force_login(member)
    assert sentence in words_of(client.get(reverse("make-cup", args=["B09"]), asked))


def test_the_cup_has_its_own_small_label(client, b09, member):
    cup = cup_of(b09, member)
    label = Label.objects.get(on_kind="buckets.cup", on_id=cup.pk)
    assert label.purpose == "cup"
    client.force_login(member)
    answer = client.get(reverse("label-sheet", args=[label.serial]))
    (page,) = pypdf.PdfReader(BytesIO(answer.content)).pages
    text = " ".join(page.extract_text().split())
    assert "PP thinned 1.38" in text
    assert "not back to the bucket" in text
    assert label.serial in text
    assert float(page.mediabox.width) / 72 * 25.4 == pytest.approx(62, abs=0.5)
    assert client.get(reverse("label", args=[label.serial])).url == reverse("cup", args=[cup.pk])


def test_its_page_says_what_it_is_and_that_it_never_goes_back(client, b09, member):
    cup = cup_of(b09, member)
    said = words_of(client.get(reverse("cup", args=[cup.pk])))
    assert "Never back into the bucket" in said
    assert "243 mL at 1.470 from B09" in said
    assert "Ilse" not in said  # a stranger reads no names
    assert "older than" not in said.lower()
    client.force_login(member)
    assert "made just now by Ilse" in words_of(client.get(reverse("cup", args=[cup.pk])))


def test_a_cup_older_than_a_week_warns(client, b09, technician, member):
    at = timezone.now() - timedelta(days=8)
    record_reading(fill=b09, sg=D("1.46"), by=technician, at=at)
    b09.refresh_from_db()
    Use.objects.all()
    cup = cup_of(b09, member)
    Cup.objects.filter(pk=cup.pk).update(at=at)
    said = words_of(client.get(reverse("cup", args=[cup.pk])))
    assert "Older than 7 days" in said
    assert "If it smells, throw it away" in said


def test_open_cups_stand_on_the_buckets_page_until_they_are_gone(client, b09, member):
    first, second = cup_of(b09, member), cup_of(b09, member, "0.25", "1.40")
    client.force_login(member)
    page = client.get("/shelf/B09/").content.decode()
    assert all(reverse("cup", args=[cup.pk]) in page for cup in (first, second))
    cup_gone(cup=first, by=member)
    take_back_use(use=second.use, reason="never made", by=member)
    page = client.get("/shelf/B09/").content.decode()
    assert not any(reverse("cup", args=[cup.pk]) in page for cup in (first, second))
    assert "was taken back" in words_of(client.get(reverse("cup", args=[second.pk])))


def test_a_cup_is_gone_once_and_its_label_is_void(b09, member):
    cup = cup_of(b09, member)
    cup_gone(cup=cup, how="thrown away", by=member)
    label = Label.objects.get(on_kind="buckets.cup", on_id=cup.pk)
    assert (label.state, label.void_reason) == ("void", "the cup was thrown away")
    with pytest.raises(Refused, match="gone already"):
        cup_gone(cup=cup, by=member)
    with pytest.raises(Refused, match="thrown away"):
        cup_gone(cup=cup_of(b09, member), how="poured back", by=member)


def every_address():
    def walk(resolver, before=""):
        for entry in resolver.url_patterns:
            route = before + str(entry.pattern)
            if isinstance(entry, URLPattern):
                yield f"{entry.name} {route}"
            else:
                yield from walk(entry, route)

    return list(walk(get_resolver()))


BACK = re.compile(
    r"pour(ed)?[-_ ]?back|put[-_ ]?back|give[-_ ]?back|return[-_ ]?cup|back[-_ ]?into|cup[-_ ]?back"
)


def test_there_is_no_act_that_pours_a_cup_back():
    """Neither an address nor an operation of the API; and what a cup offers is to be gone or reported."""
    addresses = every_address()
    assert len(addresses) > 120
    assert [line for line in addresses if BACK.search(line)] == []
    offered = {line.split()[0] for line in addresses if "/cups/<int:pk>/" in line}
    assert offered == {"cup", "cup-gone", "report-cup", "api-cup", "api-cup-gone", "api-report-cup"}
    operations = [
        said["operationId"] for methods in whole_schema()["paths"].values() for said in methods.values()
    ]
    assert "make_cup" in operations
    assert [name for name in operations if BACK.search(name)] == []


@pytest.mark.parametrize("name", ["pour-back", "put_cup_back", "poured-back", "cup-back"])
def test_such_an_act_would_be_seen(name):
    assert BACK.search(name)


def test_saying_that_it_went_back_is_a_report_and_holds_the_bucket(client, b09, member):
    cup = cup_of(b09, member)
    answer = client.post(reverse("report-cup", args=[cup.pk]), {"key": uuid4()})
    assert answer.status_code == 303
    report = Report.objects.get()
    assert (report.fill, report.by) == (b09, None)
    assert "300 mL at 1.380" in report.words.replace("\xa0", " ")
    b09.refresh_from_db()
    assert b09.held
    before = b09.volume_l
    report_cup(cup=cup, by=member)
    b09.refresh_from_db()
    assert b09.volume_l == before  # what came back is unknown: nothing is added


REFUSED = {
    "too small": ({"volume_l": D("0.009")}, "between 10 mL and 10 L"),
    "a bucket": ({"volume_l": D("10.1")}, "between 10 mL and 10 L"),
    "more than there is": ({"volume_l": D("9.9"), "to_sg": D("1.46")}, "B09 holds"),
    "water": ({"to_sg": D("1.0")}, "between 1.00"),
    "less than water": ({"to_sg": D("0.9")}, "between 1.00"),
    "as dense as powder": ({"to_sg": D("2.722")}, "between 1.00"),
}


@pytest.mark.parametrize("case", REFUSED)
def test_what_cannot_be_is_refused(b09, member, case):
    said, sentence = REFUSED[case]
    with pytest.raises(Refused) as refused:
        make_cup(fill=b09, by=member, **{"volume_l": D("0.3"), "to_sg": D("1.38"), **said})
    assert sentence in refused.value.sentence.replace("\xa0", " ")
    assert not Cup.objects.exists()


def test_no_cup_from_a_held_bucket_or_without_a_reading_to_go_by(b09, technician, member):
    water_in(fill=b09, volume_l=D("0.2"), by=technician)
    with pytest.raises(Refused, match="no reading to go by"):
        cup_of(b09, member)
    hold_fill(fill=b09, reason="specks", by=technician)
    with pytest.raises(Refused, match="B09 is held"):
        cup_of(b09, member)


def test_without_a_density_it_can_be_thinned_but_not_thickened(member):
    fill = in_use("B08", glaze="Moss")
    record_reading(fill=fill, sg=D("1.45"), by=member)
    fill.refresh_from_db()
    assert cup_of(fill, member).dry_g is None
    with pytest.raises(Refused, match="density of its powder"):
        cup_of(fill, member, sg="1.6")


def test_the_page_shows_what_goes_in_and_then_makes_it(client, b09, member):
    client.force_login(member)
    address = reverse("make-cup", args=["B09"])
    typed = {
        "fill": b09.pk, "key": str(uuid4()), "volume_l_0": "300", "volume_l_1": "mL", "to_sg": "1,38"
    }  # fmt: skip
    looked = client.post(address, {**typed, "look": "1"})
    assert looked.status_code == 200
    said = words_of(looked)
    for words in ("243 mL", "57 mL", "180.2 g", "Stir the bucket to the floor first"):
        assert words in said, words
    assert not Cup.objects.exists()
    assert client.post(address, typed).url == reverse("cup", args=[Cup.objects.get().pk])
    assert client.post(address, typed).status_code == 303  # the same key again
    assert Cup.objects.count() == 1
    assert "to_sg=1,38" in Cup.objects.get().use.raw


WRONG = [
    ({"volume_l_0": ""}, "volume_l", "How much do you need"),
    ({"volume_l_0": "some"}, "volume_l", "not a number"),
    ({"volume_l_0": "-1"}, "volume_l", "more than 0"),
    ({"volume_l_0": "0"}, "volume_l", "more than 0"),
    ({"volume_l_0": "5"}, "volume_l", "between 10 mL"),
    ({"volume_l_0": "9" * 50}, "volume_l", ""),
    ({"volume_l_1": "spoon"}, "volume_l", "Choose one from the list"),
    ({"to_sg": ""}, "to_sg", "Like 1.38"),
    ({"to_sg": "thin"}, "to_sg", "not a number"),
    ({"to_sg": "138"}, "to_sg", "can be read as"),
    ({"to_sg": "-1.38"}, "to_sg", ""),
    ({"to_sg": "1.38.2"}, "to_sg", ""),
    ({"to_sg": "nan"}, "to_sg", "not a number"),
    ({"to_sg": "2.9"}, "to_sg", ""),
    ({"key": ""}, None, "lost its key"),
]


@pytest.mark.parametrize("look", [True, False])
@pytest.mark.parametrize(("change", "field", "sentence"), WRONG)
def test_wrong_input_is_said_beside_its_field_and_writes_nothing(
    client, b09, member, change, field, sentence, look
):
    client.force_login(member)
    typed = {"fill": b09.pk, "key": uuid4(), "volume_l_0": "300", "volume_l_1": "mL", "to_sg": "1.38"}
    typed |= {"look": "1"} if look else {}
    answer = client.post(reverse("make-cup", args=["B09"]), {**typed, **change})
    assert answer.status_code == 422
    said = " ".join(answer.context["form"].errors[field or "key"]).replace("\xa0", " ")
    assert sentence in said
    assert (Cup.objects.count(), Use.objects.count(), Fill.objects.get().volume_l) == (0, 0, D("8.83"))
