"""The store and the room for programs: the same acts and questions, one error shape."""

from decimal import Decimal
from uuid import uuid4

import pytest
from django.urls import reverse

from studio.materials.models import Lot, Material, Movement
from studio.room.models import Glass, PolicyChange, Scale, Vessel


@pytest.fixture
def send(client, technician):
    client.force_login(technician, backend="django.contrib.auth.backends.ModelBackend")

    def to(act: str, /, *args, key: str | None = None, **body):
        headers = {"Idempotency-Key": key or str(uuid4())}
        address = reverse(f"api-{act}", args=args)
        return client.post(address, body, content_type="application/json", headers=headers)

    return to


@pytest.fixture
def ask(client, send):
    return lambda what, /, *args, **query: client.get(reverse(f"api-{what}", args=args), query)


SILICA = {
    "name": "Silica",
    "role": "plain",
    "aliases": ["Flint"],
    "hazard_words": "respirable silica",
    "opening_g": {"amount": "75", "unit": "kg"},
    "opening_price_per_kg": "0.62",
    "lot_code": "SI-21",
}


def test_a_material_with_its_stock(send, ask):
    made = send("add-material", **SILICA)
    assert made.status_code == 201
    pk = made.json()["id"]
    one = ask("material", pk).json()
    assert (one["owned_g"], one["value"], one["aliases"]) == ("75000.000", "46.5000", ["Flint"])
    stands = ask("material-standing", pk).json()
    assert (stands["usable_g"], stands["available_g"]) == ("75000.000", "75000.000")
    assert [lot["code"] for lot in ask("lots", material=pk).json()["results"]] == ["SI-21"]
    assert [row["mass_g"] for row in ask("movements", material=pk).json()["results"]] == ["75000.000"]
    assert [row["name"] for row in ask("materials", q="flint").json()["results"]] == ["Silica"]


def test_a_lot_goes_its_way(send, ask):
    material = send("add-material", name="Silica", role="plain").json()["id"]
    amount = {"amount": 25, "unit": "kg"}
    lot = send("receive-lot", material, mass_g=amount, price_per_kg=0.62, state="quarantine").json()
    assert (lot["state"], lot["on_hand_g"]) == ("quarantine", "25000.000")
    pk = lot["id"]
    assert send("release-lot", pk).json()["state"] == "released"
    assert send("quarantine-lot", pk, reason="damp").json()["state"] == "quarantine"
    assert send("release-lot", pk).json()["state"] == "released"
    kilo = {"amount": "24", "unit": "kg"}
    corrected = send("correct-stock", pk, to_g=kilo, reason="weighed").json()
    assert (corrected["mass_g"], corrected["on_hand_after_g"]) == ("-1000.000", "24000.000")
    assert send("correct-price", pk, price_per_kg="0.7", reason="invoice").status_code == 201
    assert send("change-lot", pk, received_on="2026-04-01").json()["received_on"] == "2026-04-01"
    assert send("use-up-lot", pk, reason="empty", sure=True).json()["state"] == "used up"
    assert [row["id"] for row in ask("lots", state="used up").json()["results"]] == [pk]


def test_unlikely_figures_are_asked_about_here_too(send):
    material = send("add-material", **SILICA).json()["id"]
    sent = {"mass_g": {"amount": "25", "unit": "kg"}, "price_per_kg": "6.2", "state": "released"}
    asked = send("receive-lot", material, **sent)
    assert asked.status_code == 422
    assert asked.json()["fields"] == {"price_per_kg": ["Lot SI-21 cost 0.62 per kg. Is this one right?"]}
    assert send("receive-lot", material, **sent, sure=True).status_code == 201


@pytest.mark.parametrize(
    ("body", "field"),
    [
        ({"mass_g": "25", "price_per_kg": "1", "state": "released"}, "mass_g"),
        ({"mass_g": {"amount": "x", "unit": "kg"}, "price_per_kg": "1", "state": "released"}, "mass_g"),
        ({"mass_g": {"amount": "1", "unit": "stone"}, "price_per_kg": "1", "state": "released"}, "mass_g"),
        ({"mass_g": {"amount": "1", "unit": "kg"}, "price_per_kg": {"a": 1}, "state": "x"}, "state"),
        ({}, "price_per_kg"),
    ],
)
def test_wrong_input_is_named_by_its_field_and_writes_nothing(send, body, field):
    material = send("add-material", name="Silica", role="plain").json()["id"]
    refused = send("receive-lot", material, **body)
    assert refused.status_code == 422
    assert field in refused.json()["fields"]
    assert not Lot.objects.exists()


def test_a_refusal_has_the_same_shape(send):
    send("add-material", **SILICA)
    refused = send("add-material", **{**SILICA, "name": "Sienna", "aliases": []})
    assert refused.status_code == 409
    assert refused.json()["fields"] == {"lot_code": [refused.json()["problem"]]}
    assert Material.objects.count() == 1


def test_the_same_key_is_one_row(send):
    key = str(uuid4())
    first, again = (send("add-material", key=key, **SILICA).json() for _ in range(2))
    assert first == again
    assert Movement.objects.count() == 1


@pytest.mark.parametrize("query", [{"material": "x"}, {"lot": "-1"}, {"lot": "9" * 40}, {"material": "٣"}])
def test_a_filter_that_is_no_number_is_said(ask, query):
    answer = ask("movements", **query)
    assert answer.status_code == 400
    assert list(answer.json()["fields"]) == list(query)


def test_an_unknown_state_is_said(ask):
    answer = ask("lots", state="lost")
    assert (answer.status_code, list(answer.json()["fields"])) == (400, ["state"])


def test_pages_follow_a_cursor(send, ask, client):
    for number in range(3):
        send("add-scale", name=f"Scale {number}", division_g=gram(1), capacity_g=gram(5000))
    first = ask("scales", page_size=2).json()
    rest = client.get(first["next"]).json()
    assert [row["name"] for row in first["results"] + rest["results"]] == ["Scale 2", "Scale 1", "Scale 0"]


def gram(amount) -> dict[str, str]:
    return {"amount": str(amount), "unit": "g"}


def test_the_room_over_the_api(send, ask):
    sizes = {"bottom_cm": "25.6", "top_cm": "28.8", "height_cm": "35", "empty_g": gram(1135)}
    vessel = send("add-vessel", code="B02", **sizes).json()
    assert (vessel["brim_l"], vessel["empty_g"]) == (20.361, "1135.000")
    assert send("move-vessel", vessel["id"], place="shelf A2").json()["place"] == "shelf A2"
    assert send("put-away-vessel", vessel["id"]).json()["state"] == "away"
    assert send("bring-back-vessel", vessel["id"]).json()["state"] == "in service"
    assert send("change-vessel", vessel["id"], **{**sizes, "height_cm": "34"}).json()["height_cm"] == "34.000"
    scale = send("add-scale", name="Fine", division_g=gram("0.1"), capacity_g=gram(600)).json()
    assert send("retire-scale", scale["id"]).json()["retired_at"]
    assert send("bring-back-scale", scale["id"]).json()["retired_at"] is None
    glass = {"name": "Cylinder", "kind": "cylinder", "volume_ml": "100", "tolerance_ml": "0.5"}
    made = send("add-glass", **glass).json()
    assert (
        send("change-glass", made["id"], **{**glass, "empty_g": gram("65.7")}).json()["empty_g"] == "65.700"
    )
    rules = {rule["name"]: Decimal(rule["value"]) for rule in ask("rules").json()["results"]}
    assert rules["fill_limit_pct"] == 85
    assert send("set-policy", name="fill_limit_pct", value="80").json()["unit"] == "% of the brim"
    assert send("set-policy", name="fill_limit_pct", value="101").status_code == 409
    counts = [kind.objects.count() for kind in (Vessel, Scale, Glass, PolicyChange)]
    assert counts == [1, 1, 1, 1]


@pytest.mark.parametrize("name", ["vessels", "scales", "glasses", "materials", "lots", "movements", "rules"])
def test_lists_are_open_to_members_and_closed_to_strangers(client, member, name):
    assert client.get(reverse(f"api-{name}")).status_code in (401, 403)
    client.force_login(member, backend="django.contrib.auth.backends.ModelBackend")
    assert client.get(reverse(f"api-{name}")).status_code == 200


def test_a_member_changes_nothing(client, member):
    client.force_login(member, backend="django.contrib.auth.backends.ModelBackend")
    headers = {"Idempotency-Key": str(uuid4())}
    answer = client.post(
        reverse("api-add-material"), SILICA, content_type="application/json", headers=headers
    )
    assert answer.status_code == 403
    assert not Material.objects.exists()


@pytest.mark.parametrize("name", ["material", "lot", "vessel", "scale", "glass"])
def test_a_number_of_nothing_is_answered_as_such(ask, name):
    for pk in (999, 10**30):
        assert ask(name, pk).status_code == 404
