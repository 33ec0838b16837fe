"""Hazardous is weighed by who is signed off for it, with a current sheet or a technician's word."""

from datetime import timedelta
from uuid import uuid4

import pytest
from django.urls import reverse
from django.utils import timezone

from batches.gates import set_gates
from batches.models import Weighing
from batches.operations import weighing
from safety.gates import NoCurrentSheet, NotSignedOff, gate_of, standing
from safety.models import Acknowledgement
from safety.operations.sheets import acknowledge
from studio.errors import NotAllowed, Refused
from studio.materials.models import Movement
from studio.materials.operations.stock import receive_lot
from studio.people.models import Entry, SignOff
from tests.batches import making
from tests.factories import SheetFactory, bram, person
from tests.safety.sheet_rows import HARMLESS, LUNGS, constituent, filed, quartz

pytestmark = pytest.mark.django_db


@pytest.fixture
def batch():
    """Oat Husk on the bench, its first water in; nobody has let anything through."""
    batch = making.weighing_batch(let_through=False)
    for name in ("Whiting", "Kaolin", "Potash feldspar", "Tin oxide"):
        filed(name, constituent(name.lower(), "100", HARMLESS))
    return batch


@pytest.fixture
def silica(batch):
    """Crystalline silica by a current sheet; all of it counts as fine."""
    line = batch.lines.get(name="Silica")
    filed(line.material, quartz("99"), hazards=LUNGS)
    return line


@pytest.fixture
def dolomite(batch):
    """A material of which no sheet is on file."""
    return batch.lines.get(name="Dolomite")


@pytest.fixture
def yusuf():
    return person("Yusuf", "helper", signed_off=("weighing", "wet mixing"))


def weigh(line, by=None, **more):
    return weighing.weigh_line(
        line=line, lot=making.lot_of(line), net_g=line.target_g, by=by or bram(), **more
    )


def gate(line):
    return gate_of(line.material, what=str(line.batch), today=timezone.localdate())


# --- the sign-off


def test_a_helper_weighs_what_has_no_class_and_not_what_has(batch, silica, yusuf):
    assert weigh(batch.lines.get(name="Whiting"), by=yusuf).by == yusuf
    movements = Movement.objects.count()
    with pytest.raises(NotSignedOff, match=r"Silica is hazardous: STOT RE 1") as refused:
        weigh(silica, by=yusuf)
    assert "Here that is Bram" in refused.value.sentence
    assert "Yusuf" not in refused.value.sentence
    assert Movement.objects.count() == movements


def test_with_the_sign_off_a_helper_weighs_it_and_is_named_among_those_who_may(silica, yusuf):
    mara = person("Mara", "helper", signed_off=("weighing", "hazardous"))
    with pytest.raises(NotSignedOff, match="Bram, Mara, Odile or Tamsin"):
        weigh(silica, by=yusuf)
    assert weigh(silica, by=mara).by == mara


@pytest.mark.parametrize(
    "ended",
    [
        {"expires_on": timezone.localdate() - timedelta(days=1)},
        {"withdrawn_at": timezone.now()},
        {"kind": "kiln"},
    ],
)
def test_a_sign_off_that_ended_is_none(silica, ended):
    mara = person("Mara", "helper", signed_off=("weighing", "hazardous"))
    SignOff.objects.filter(member=mara, kind="hazardous").update(**ended)
    with pytest.raises(NotSignedOff):
        weigh(silica, by=mara)


def test_technician_and_manager_have_it_by_role(silica):
    odile = person("Odile", "manager")
    assert weigh(silica, by=odile).by == odile


def test_what_nobody_classified_counts_as_hazardous(dolomite, yusuf):
    acknowledge(material=dolomite.material, what=str(dolomite.batch), reason="sheet is on its way", by=bram())
    with pytest.raises(NotSignedOff, match="Nobody has classified Dolomite"):
        weigh(dolomite, by=yusuf)


# --- the sheet


def test_without_a_sheet_it_waits_for_a_technician_with_a_reason(dolomite):
    with pytest.raises(NoCurrentSheet, match=r"No safety data sheet is on file.*batch 26-001"):
        weigh(dolomite)
    assert not Weighing.objects.exists()
    acknowledge(material=dolomite.material, what=str(dolomite.batch), reason="sheet is on its way", by=bram())
    assert weigh(dolomite).line == dolomite


def test_a_sheet_that_is_due_stops_what_is_hazardous_and_not_what_is_harmless(batch, silica):
    whiting = batch.lines.get(name="Whiting")
    for line in (silica, whiting):
        receive_lot(
            material=line.material,
            code=f"N{line.pk}",
            mass_g=1000,
            price_per_kg=1,
            state="quarantine",
            by=bram(),
        )
    assert [gate(line).sheet.word for line in (silica, whiting)] == ["due", "due"]
    with pytest.raises(NoCurrentSheet, match="not named as covered"):
        weigh(silica)
    assert weigh(whiting).line == whiting


def test_a_sheet_that_says_not_hazardous_and_counts_as_missing_says_nothing(dolomite):
    SheetFactory(material=dolomite.material, lots=list(dolomite.material.lots.all()))  # it bears no date
    assert (gate(dolomite).known, gate(dolomite).stopped) == (False, True)
    with pytest.raises(NoCurrentSheet, match="bears no date"):
        weigh(dolomite)


def test_it_holds_for_one_batch_only(dolomite):
    acknowledge(material=dolomite.material, what="batch 25-300", reason="for that one", by=bram())
    with pytest.raises(NoCurrentSheet):
        weigh(dolomite)


def test_a_new_sheet_ends_it(dolomite):
    what, material = str(dolomite.batch), dolomite.material
    acknowledge(material=material, what=what, reason="sheet is on its way", by=bram())
    assert standing([material.pk]).count() == 1
    filed(material, quartz("5"), hazards=LUNGS, issued_on=None)
    assert not standing([material.pk]).exists()
    with pytest.raises(NoCurrentSheet):
        weigh(dolomite)
    acknowledge(material=material, what=what, reason="asked for its date", by=bram())
    assert weigh(dolomite).line == dolomite
    assert Acknowledgement.objects.count() == 2


def test_told_later_the_day_it_was_weighed_decides(silica):
    long_ago = timezone.now() + timedelta(days=365 * 3)
    with pytest.raises(NoCurrentSheet, match="3 years old"):
        weigh(silica, at=long_ago)


# --- the act


def test_who_may_not_keep_the_binder_may_not_let_it_through(dolomite, yusuf):
    with pytest.raises(NotAllowed):
        acknowledge(material=dolomite.material, what=str(dolomite.batch), reason="because", by=yusuf)


def test_what_nothing_stops_is_not_let_through(batch, silica, dolomite):
    what = str(batch)
    with pytest.raises(Refused, match="Nothing stops Silica: Sheet of"):
        acknowledge(material=silica.material, what=what, reason="just in case", by=bram())
    with pytest.raises(Refused, match="no class by the law here"):
        acknowledge(
            material=batch.lines.get(name="Whiting").material, what=what, reason="just in case", by=bram()
        )
    acknowledge(material=dolomite.material, what=what, reason="sheet is on its way", by=bram())
    with pytest.raises(Refused, match="Bram let it through for batch 26-001 already: sheet is on its way"):
        acknowledge(material=dolomite.material, what=what, reason="again", by=bram())


def test_the_gates_of_a_batch_cost_four_queries(batch, silica, django_assert_num_queries):
    lines = list(batch.lines.select_related("material"))
    with django_assert_num_queries(4):
        set_gates(batch, lines)
    stopped = {line.name for line in lines if line.gate.stopped}
    assert stopped == {"Dolomite"}
    assert {line.name for line in lines if line.gate.hazardous} == {"Dolomite", "Silica"}


# --- the bench and the page


def bench(client, batch, line):
    return client.get(f"{reverse('bench', args=[batch.number])}?line={line.position}").content.decode()


def letting_through(client, line, **typed):
    data = {"key": str(uuid4()), "reason": "sheet is on its way", **typed}
    return client.post(reverse("acknowledge", args=[line.batch.number, line.position]), data)


def test_a_helper_is_told_before_the_pot_is_filled(client, batch, silica, yusuf):
    client.force_login(yusuf)
    page = bench(client, batch, silica)
    assert "Not for you to weigh." in page
    assert "Here that is Bram" in page
    assert 'name="net_g"' not in page
    assert 'name="net_g"' in bench(client, batch, batch.lines.get(name="Whiting"))


def test_the_bench_stops_opens_the_page_and_goes_on_afterwards(client, batch, dolomite):
    client.force_login(bram())
    page = bench(client, batch, dolomite)
    address = reverse("acknowledge", args=[batch.number, dolomite.position])
    assert "Do not weigh it yet: its sheet is missing." in page
    assert f'href="{address}"' in page
    assert 'name="net_g"' not in page
    assert "waits: no current sheet" in bench(client, batch, batch.lines.get(name="Whiting"))
    asked = client.get(address).content.decode()
    assert "ends when a new sheet of the material is filed" in asked
    answer = letting_through(client, dolomite)
    assert (answer.status_code, answer.url) == (
        303,
        f"/making/{batch.number}/bench/?line={dolomite.position}",
    )
    page = bench(client, batch, dolomite)
    assert "sheet is on its way" in page
    assert 'name="net_g"' in page
    assert Entry.objects.filter(act="weighed without a current sheet", by=bram()).count() == 1
    kept = client.get(reverse("binder-material", args=[dolomite.material_id])).content.decode()
    assert "For batch 26-001" in kept
    assert "sheet is on its way" in kept


def test_a_helper_sees_why_it_waits_and_no_way_through(client, batch, dolomite, yusuf):
    client.force_login(yusuf)
    page = bench(client, batch, dolomite)
    assert "Do not weigh it yet" in page
    assert "Let it through" not in page
    assert letting_through(client, dolomite).status_code == 403
    assert not Acknowledgement.objects.exists()


def test_what_was_typed_stays_when_the_gate_closes_meanwhile(client, batch, dolomite):
    client.force_login(bram())
    typed = {"key": uuid4(), "lot": making.lot_of(dolomite).code, "net_g": "800"}
    answer = client.post(reverse("weigh-line", args=[batch.number, dolomite.position]), typed)
    page = answer.content.decode()
    assert answer.status_code == 422
    assert 'value="800"' in page
    assert "It waits until a technician lets it through" in page


def test_while_water_is_awaited_the_bench_names_what_will_wait(client):
    client.force_login(bram())
    batch = weighing.start_weighing(batch=making.planned(), by=bram())
    page = client.get(reverse("bench", args=[batch.number])).content.decode()
    assert "6 materials wait for a technician" in page


def test_after_the_batch_the_page_leads_to_it(client):
    batch = making.wet_batch()
    client.force_login(bram())
    address = reverse("acknowledge", args=[batch.number, 1])
    assert client.get(address).url == reverse("batch", args=[batch.number])
    assert client.get(reverse("acknowledge", args=[batch.number, 99])).status_code == 404


@pytest.mark.parametrize("signed_off", [("weighing",), ("weighing", "hazardous")])
def test_the_bench_of_a_helper_takes_twelve_queries_at_most(
    client, batch, silica, signed_off, django_assert_max_num_queries
):
    client.force_login(person("Mara", "helper", signed_off=signed_off))
    weigh(batch.lines.get(name="Whiting"))
    with django_assert_max_num_queries(12):
        bench(client, batch, silica)


WRONG = {
    "reason": ["", " ", "\t", "\n", "x" * 201, "x" * 4000, "a\0b"],
    "key": ["", "7", "no key", "{}", "0" * 40, "\0"],
}  # fmt: skip


@pytest.mark.parametrize(("field", "typed"), [(f, t) for f, many in WRONG.items() for t in many])
def test_wrong_input_is_told_keeps_what_was_typed_and_lets_nothing_through(client, dolomite, field, typed):
    client.force_login(bram())
    answer = letting_through(client, dolomite, **{field: typed})
    assert answer.status_code == 422
    assert field in answer.context["form"].errors
    assert answer.context["form"][field].value() == typed.replace("\0", "\ufffd")
    if field == "key":
        assert "sheet is on its way" in answer.content.decode()
    assert not Acknowledgement.objects.exists()
    assert not Entry.objects.filter(act="weighed without a current sheet").exists()


def test_sent_twice_it_is_one(client, dolomite):
    client.force_login(bram())
    key = str(uuid4())
    assert letting_through(client, dolomite, key=key).status_code == 303
    assert letting_through(client, dolomite, key=key).status_code == 303
    assert Acknowledgement.objects.count() == 1
