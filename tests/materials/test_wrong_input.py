"""What is typed wrong in the store and the room: a sentence beside its field, the typed text kept, nothing
written, status 422. The amounts are the test's own.
"""

import html
import re
from dataclasses import dataclass, field
from decimal import Decimal
from uuid import uuid4

import pytest
from django.urls import reverse

from studio.materials.models import Alias, Lot, Material, Movement
from studio.materials.operations.materials import add_material
from studio.materials.operations.stock import receive_lot
from studio.people.models import Entry
from studio.room.models import Glass, PolicyChange, Scale, Vessel
from studio.room.operations.instruments import add_glass, add_scale
from studio.room.operations.vessels import add_vessel

LONG = "9" * 30
MARKUP = '<script>alert("x")</script>'

MATERIAL = {
    "name": "Talc",
    "aliases": "",
    "role": "plain",
    "hazard_words": "dust",
    "density": "",
    "opening_g_0": "22.68",
    "opening_g_1": "kg",
    "opening_price_per_kg": "1.02",
    "lot_code": "TA-04",
    "supplier": "Tollgate Minerals",
    "received_on": "2026-04-06",
}
RECEIPT = {
    "mass_g_0": "25",
    "mass_g_1": "kg",
    "price_per_kg": "0.62",
    "code": "SI-22",
    "supplier": "Tollgate Minerals",
    "supplier_lot": "N-100",
    "received_on": "2026-04-06",
    "state": "quarantine",
}
CORRECTION = {"to_g_0": "24", "to_g_1": "kg", "reason": "weighed"}
VESSEL = {
    "code": "B02",
    "bottom_cm": "25.6",
    "top_cm": "28.8",
    "height_cm": "35",
    "empty_g_0": "1.135",
    "empty_g_1": "kg",
}
SCALE = {
    "name": "Fine",
    "division_g_0": "0.1",
    "division_g_1": "g",
    "capacity_g_0": "600",
    "capacity_g_1": "g",
}
GLASS = {"name": "Flask 250", "kind": "flask", "volume_ml": "250", "tolerance_ml": "1"}


@dataclass
class Wrong:
    """One field of a good form typed wrong: what is typed, and a part of the sentence beside it."""

    page: str
    name: str
    typed: str
    says: str
    beside: str = ""
    also: dict[str, str] = field(default_factory=dict)

    def __str__(self) -> str:
        return f"{self.page}: {self.name} = {self.typed[:24]!r}"


GOOD = {
    "add-material": MATERIAL,
    "receive-lot": RECEIPT,
    "correct-stock": CORRECTION,
    "correct-price": {"price_per_kg": "0.70", "reason": "invoice"},
    "use-up-lot": {"reason": "bag empty"},
    "add-vessel": VESSEL,
    "add-scale": SCALE,
    "add-glass": GLASS,
    "set-policy": {"value": "80"},
    "add-alias": {"name": "Flint"},
    "reject-lot": {"reason": "damp"},
}

TABLE = [
    # materials
    Wrong("add-material", "name", "", "Nothing is typed here yet."),
    Wrong("add-material", "name", "   ", "Nothing is typed here yet."),
    Wrong("add-material", "name", "SILICA", "is in the store already, as Silica"),
    Wrong("add-material", "name", " flint  stone ", "is in the store already, as Silica"),
    Wrong("add-material", "name", "n" * 81, "At most 80 letters; these are 81."),
    Wrong("add-material", "aliases", "Soapstone\nsilica", "silica is a name of Silica already"),
    Wrong("add-material", "role", "metal", "Choose one from the list."),
    Wrong("add-material", "density", "heavy", "This is not a number."),
    Wrong("add-material", "density", "1", "more than 1 g/mL"),
    Wrong("add-material", "density", "2,75 g/mL", "This is not a number."),
    Wrong("add-material", "density", "NaN", "This is not a number."),
    Wrong("add-material", "opening_g_0", "-5", "more than 0 g", beside="opening_g"),
    Wrong("add-material", "opening_g_0", "0", "more than 0 g", beside="opening_g"),
    Wrong("add-material", "opening_g_0", "some", "This is not a number.", beside="opening_g"),
    Wrong(
        "add-material", "opening_g_0", "1,234", "read as 1.234 or as 1234", "opening_g", {"opening_g_1": "g"}
    ),
    Wrong("add-material", "opening_g_0", "1.234,5,6", "do not fit together", beside="opening_g"),
    Wrong("add-material", "opening_g_0", "2000", "at most 1000000 g", beside="opening_g"),
    Wrong("add-material", "opening_g_0", LONG, "at most 15 digits", beside="opening_g"),
    Wrong("add-material", "opening_g_0", "1e3", "This is not a number.", beside="opening_g"),
    Wrong("add-material", "opening_g_1", "stone", "Choose one from the list.", beside="opening_g"),
    Wrong("add-material", "opening_price_per_kg", "-1", "at least 0"),
    Wrong("add-material", "opening_price_per_kg", "Infinity", "This is not a number."),
    Wrong("add-material", "lot_code", "TA/04", "letters, digits, points and dashes"),
    Wrong("add-material", "lot_code", "si-1", "There is a lot si-1 already"),
    Wrong("add-material", "received_on", "06.04.2026 or so", "This is not a date."),
    Wrong("add-material", "supplier", "s" * 81, "At most 80 letters"),
    # receiving
    Wrong("receive-lot", "mass_g_0", "", "Nothing is typed here yet.", beside="mass_g"),
    Wrong("receive-lot", "mass_g_0", "٢٥,,", "stops at its comma or point", beside="mass_g"),
    Wrong("receive-lot", "mass_g_0", "11000", "at most 10000000 g", beside="mass_g"),
    Wrong("receive-lot", "price_per_kg", "", "Nothing is typed here yet."),
    Wrong("receive-lot", "price_per_kg", "0", "was it given to the studio?"),
    Wrong("receive-lot", "price_per_kg", "6.2", "Lot SI-1 cost 0.62 per kg. Is this one right?"),
    Wrong("receive-lot", "price_per_kg", "999999999", "at most 100000"),
    Wrong("receive-lot", "supplier_lot", "n-77", "came with this number already"),
    Wrong("receive-lot", "state", "used up", "Choose one from the list."),
    Wrong("receive-lot", "code", "SI-1", "There is a lot SI-1 already"),
    Wrong("receive-lot", "note", "n" * 201, "At most 200 letters"),
    # correcting
    Wrong("correct-stock", "to_g_0", "-1", "less than 0 g", beside="to_g"),
    Wrong("correct-stock", "to_g_0", "250", "also its unit?", beside="to_g"),
    Wrong("correct-stock", "to_g_0", "25", "The record already says 25 kg", beside="to_g"),
    Wrong("correct-stock", "reason", "", "Nothing is typed here yet."),
    Wrong("correct-price", "price_per_kg", "0.62", "the price the record already has"),
    Wrong("use-up-lot", "reason", "bag empty now", "The record still says 25 kg. Write all of it off?"),
    Wrong("reject-lot", "reason", "", "Nothing is typed here yet."),
    Wrong("add-alias", "name", "silica", "is already known as silica"),
    # the room
    Wrong("add-vessel", "code", "b01", "There is a vessel b01 already"),
    Wrong("add-vessel", "code", "B 2/3", "Only letters, digits and dashes"),
    Wrong("add-vessel", "bottom_cm", "0", "more than 0 cm"),
    Wrong("add-vessel", "top_cm", "wide", "This is not a number."),
    Wrong("add-vessel", "height_cm", "350", "at most 200 cm"),
    Wrong("add-vessel", "offset_l", "15", "a quarter of the bucket"),
    Wrong("add-vessel", "empty_g_0", "", "Nothing is typed here yet.", beside="empty_g"),
    Wrong("add-scale", "name", "bulk scale", "There is one called bulk scale already"),
    Wrong("add-scale", "capacity_g_0", "5", "the right way round?", beside="capacity_g"),
    Wrong("add-scale", "division_g_0", "nan", "This is not a number.", beside="division_g"),
    Wrong("add-glass", "kind", "cup", "Choose one from the list."),
    Wrong("add-glass", "tolerance_ml", "50", "more than a tenth of the volume"),
    Wrong("add-glass", "tolerance_ml", "0", "more than 0 mL"),
    Wrong("set-policy", "value", "", "Nothing is typed here yet."),
    Wrong("set-policy", "value", "101", "at most 98 % of the brim"),
    Wrong("set-policy", "value", "85", "That is the rule already."),
]


@pytest.fixture
def at(technician, client):
    """A signed-in technician, a store with one material and one lot, a room with one of each."""
    client.force_login(technician, backend="django.contrib.auth.backends.ModelBackend")
    silica = add_material(
        name="Silica",
        aliases=["Flint stone"],
        opening_g=Decimal(25_000),
        opening_price_per_kg=Decimal("0.62"),
        lot_code="SI-1",
        supplier="Tollgate Minerals",
        by=technician,
    )
    receive_lot(
        material=silica,
        mass_g=Decimal(1000),
        price_per_kg=Decimal("0.62"),
        code="SI-2",
        supplier="Tollgate Minerals",
        supplier_lot="N-77",
        received_on=silica.lots.get().received_on.replace(year=2020),
        by=technician,
    )
    sizes = {"bottom_cm": Decimal("25.6"), "top_cm": Decimal("28.8"), "height_cm": Decimal(35)}
    add_vessel(code="B01", empty_g=Decimal(1135), by=technician, **sizes)
    add_scale(name="Bulk scale", division_g=Decimal(1), capacity_g=Decimal(5000), by=technician)
    add_glass(
        name="Cylinder", kind="cylinder", volume_ml=Decimal(100), tolerance_ml=Decimal("0.5"), by=technician
    )
    arguments = {
        "receive-lot": [silica.pk],
        "add-alias": [silica.pk],
        "set-policy": ["fill_limit_pct"],
        **{name: ["SI-1"] for name in ("correct-stock", "correct-price", "use-up-lot", "reject-lot")},
    }
    return lambda page: reverse(page, args=arguments.get(page, []))


def everything() -> dict[str, object]:
    kinds = (Material, Alias, Lot, Movement, Entry, Vessel, Scale, Glass, PolicyChange)
    counts = {kind.__name__: kind.objects.count() for kind in kinds}
    return counts | {"balances": list(Material.objects.values_list("owned_g", "value", "reserved_g"))}


def sentence_beside(page: str, name: str) -> str:
    """What stands in the error of one field, "" when it has none."""
    found = re.search(rf'<p class="error" id="id_{name}_error">.*?<span>(.*?)</span></p>', page, re.S)
    return re.sub("[\u00a0\u2009\u202f]", " ", html.unescape(found.group(1))) if found else ""


@pytest.mark.parametrize("wrong", TABLE, ids=str)
def test_a_wrong_answer_is_named_beside_its_field_and_nothing_is_written(client, at, wrong):
    before = everything()
    typed = {**GOOD[wrong.page], **wrong.also, "key": str(uuid4()), wrong.name: wrong.typed}
    answer = client.post(at(wrong.page), typed)
    page = answer.content.decode()
    assert answer.status_code == 422
    assert wrong.says in sentence_beside(page, wrong.beside or wrong.name)
    assert everything() == before
    kept = [text for name, text in typed.items() if text and name not in ("role", "state", "kind", "key")]
    kept = [text for text in kept if text not in ("kg", "g", "stone")]
    assert [text for text in kept if html.escape(text.strip()) not in page] == []


@pytest.mark.parametrize("name", sorted(GOOD))
def test_the_good_form_of_the_table_is_taken(client, at, name):
    """Else the table would prove nothing: each page refuses for the one wrong field alone."""
    typed = {**GOOD[name], "key": str(uuid4()), **({"sure": "on"} if name == "use-up-lot" else {})}
    before = everything()
    assert client.post(at(name), typed).status_code == 303
    assert everything() != before


def test_markup_is_shown_as_text(client, at):
    answer = client.post(
        at("add-material"), {**MATERIAL, "name": MARKUP, "density": "x", "key": str(uuid4())}
    )
    page = answer.content.decode()
    assert answer.status_code == 422
    assert MARKUP not in page
    assert html.escape(MARKUP) in page
    assert (
        client.post(at("add-material"), {**MATERIAL, "name": MARKUP, "key": str(uuid4())}).status_code == 303
    )
    for address in (reverse("store"), reverse("material", args=[Material.objects.get(name=MARKUP).pk])):
        assert MARKUP not in client.get(address).content.decode()


@pytest.mark.parametrize("key", ["", "not-a-key", "123"])
def test_a_form_without_its_key_says_so(client, at, key):
    before = everything()
    answer = client.post(at("add-material"), {**MATERIAL, "key": key})
    assert answer.status_code == 422
    assert "lost its key" in answer.content.decode()
    assert everything() == before


def test_the_same_key_again_is_one_lot(client, at):
    typed = {**RECEIPT, "key": str(uuid4())}
    assert [client.post(at("receive-lot"), typed).status_code for _ in range(2)] == [303, 303]
    assert Lot.objects.filter(code="SI-22").count() == 1


def test_the_same_key_with_other_content_is_refused_and_gets_a_new_key(client, at):
    typed = {**RECEIPT, "key": str(uuid4())}
    client.post(at("receive-lot"), typed)
    before = everything()
    answer = client.post(at("receive-lot"), {**typed, "mass_g_0": "30"})
    page = answer.content.decode()
    assert answer.status_code == 422
    assert "sent before with other content" in page
    assert typed["key"] not in page
    assert everything() == before


@pytest.mark.parametrize(
    "address",
    [
        "/store/999999/",
        "/store/99999999999999999999999999/",
        "/store/lots/NONE-1/",
        "/store/lots/NONE-1/correct/",
        "/store/lots/%00/",
        "/room/vessels/B99/",
        "/room/vessels/%00/",
        "/room/scales/999/",
        "/room/glass/99999999999999999999/change/",
        "/room/rules/moon_phase/",
    ],
)
def test_an_address_of_nothing_is_answered_as_such(client, at, address):
    assert client.get(address).status_code == 404
    assert client.post(address, {"key": str(uuid4())}).status_code == 404


def test_a_lot_used_up_meanwhile_is_refused_above_the_form(client, at, technician):
    from studio.materials.operations.stock import use_up_lot

    use_up_lot(lot=Lot.objects.get(code="SI-1"), reason="empty", by=technician)
    answer = client.post(at("reject-lot"), {"reason": "damp", "key": str(uuid4())})
    assert answer.status_code == 422
    assert "Lot SI-1 is used up." in html.unescape(answer.content.decode())
