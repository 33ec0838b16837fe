"""Vessels: added, changed, moved, put away; sizes of the demo studio's pails ("demo_studio.md" 4)."""

from decimal import Decimal
from uuid import uuid4

import pytest
from django.urls import reverse

from studio.errors import NotAllowed, Refused
from studio.people.acts import story
from studio.people.models import Entry
from studio.room.models import Vessel
from studio.room.operations import vessels as acts
from studio.room.policy import in_force
from studio.room.queries import litres_of

P20 = {
    "bottom_cm": Decimal("25.6"),
    "top_cm": Decimal("28.8"),
    "height_cm": Decimal(35),
    "empty_g": Decimal(1135),
}
P10 = {
    "bottom_cm": Decimal("20.8"),
    "top_cm": Decimal("24.6"),
    "height_cm": Decimal("25.2"),
    "empty_g": Decimal(690),
}
T40 = {"bottom_cm": Decimal(36), "top_cm": Decimal(42), "height_cm": Decimal(38), "empty_g": Decimal(2480)}


@pytest.mark.parametrize(
    ("sizes", "brim", "limit"), [(P20, "20.36", "17.31"), (P10, "10.22", "8.69"), (T40, "45.48", "38.66")]
)
def test_litres_are_those_of_the_table(technician, sizes, brim, limit):
    vessel = acts.add_vessel(code="B02", by=technician, **sizes)
    litres = litres_of(vessel, in_force())
    assert (f"{litres.brim_l:.2f}", f"{litres.limit_l:.2f}") == (brim, limit)


def test_a_measured_difference_counts(technician):
    vessel = acts.add_vessel(code="B02", offset_l=Decimal("-0.25"), by=technician, **P20)
    assert f"{litres_of(vessel, in_force()).brim_l:.2f}" == "20.11"


def test_a_change_is_kept_in_the_journal_with_old_and_new(technician):
    vessel = acts.add_vessel(code="B02", place="shelf A1", by=technician, **P20)
    acts.change_vessel(
        vessel=vessel, place="shelf A2", by=technician, **{**P20, "height_cm": Decimal("34.5")}
    )
    vessel.refresh_from_db()
    assert (vessel.height_cm, vessel.place) == (Decimal("34.5"), "shelf A2")
    new, old = story(vessel)
    assert (old.content["height_cm"], new.content["height_cm"]) == ("35", "34.5")


def test_away_and_back(technician):
    vessel = acts.add_vessel(code="B02", by=technician, **P20)
    acts.put_away_vessel(vessel=vessel, by=technician)
    with pytest.raises(Refused, match="B02 is away already"):
        acts.put_away_vessel(vessel=vessel, by=technician)
    acts.bring_back_vessel(vessel=vessel, by=technician)
    vessel.refresh_from_db()
    assert vessel.state == Vessel.State.IN_SERVICE


def test_what_the_apps_above_know_can_keep_a_vessel_from_being_put_away(technician, monkeypatch):
    def holds_glaze(vessel):
        raise Refused(f"{vessel.code} holds glaze.")

    monkeypatch.setattr(acts, "BEFORE_AWAY", [holds_glaze])
    vessel = acts.add_vessel(code="B02", by=technician, **P20)
    with pytest.raises(Refused, match="B02 holds glaze"):
        acts.put_away_vessel(vessel=vessel, by=technician)
    vessel.refresh_from_db()
    assert vessel.state == Vessel.State.IN_SERVICE


def test_a_code_that_an_address_needs_is_not_given(technician):
    with pytest.raises(Refused, match="Give this one another code"):
        acts.add_vessel(code="add", by=technician, **P20)


def test_the_same_key_twice_is_one_vessel(technician):
    key = uuid4()
    first = acts.add_vessel(code="B02", by=technician, key=key, **P20)
    assert acts.add_vessel(code="B02", by=technician, key=key, **P20) == first
    assert Vessel.objects.count() == 1


def test_a_member_may_not(member):
    with pytest.raises(NotAllowed):
        acts.add_vessel(code="B02", by=member, **P20)
    assert not Vessel.objects.exists()
    assert not Entry.objects.filter(act="vessel added").exists()


# --- pages --------------------------------------------------------------------------------------------

TYPED = {
    "code": "B02",
    "bottom_cm": "25,6",
    "top_cm": "28.8",
    "height_cm": "35",
    "empty_g_0": "1.135",
    "empty_g_1": "kg",
    "place": "shelf A2",
}


@pytest.fixture
def pages(client, technician):
    client.force_login(technician, backend="django.contrib.auth.backends.ModelBackend")
    return client


def test_the_page_keeps_what_was_typed(pages):
    answer = pages.post(reverse("add-vessel"), {**TYPED, "key": str(uuid4())})
    assert (answer.status_code, answer.url) == (303, "/room/vessels/B02/")
    vessel = Vessel.objects.get()
    assert (vessel.bottom_cm, vessel.empty_g) == (Decimal("25.6"), Decimal(1135))
    assert "bottom_cm=25,6" in Entry.objects.get(act="vessel added").content["raw"]
    assert "20.36" in pages.get(answer.url).content.decode()


def test_litres_appear_while_typing(pages):
    answer = pages.get(reverse("vessel-litres"), {k: TYPED[k] for k in ("bottom_cm", "top_cm", "height_cm")})
    text = answer.content.decode().replace("\u00a0", " ")
    assert "20.36 L" in text
    assert "17.31 L" in text
    assert "Type the three inner sizes" in pages.get(reverse("vessel-litres")).content.decode()
    assert "Type the three" in pages.get(reverse("vessel-litres"), {"bottom_cm": "x"}).content.decode()


def test_without_a_script_a_button_shows_the_litres_and_writes_nothing(pages):
    answer = pages.post(reverse("add-vessel"), {**TYPED, "code": "", "look": "1", "key": str(uuid4())})
    text = answer.content.decode().replace("\u00a0", " ")
    assert answer.status_code == 200
    assert "20.36 L" in text
    assert 'value="25,6"' in text
    assert not Vessel.objects.exists()


def test_the_change_page_shows_the_sizes_and_reads_them_back(pages, technician):
    vessel = acts.add_vessel(code="B02", by=technician, **P20)
    text = pages.get(reverse("change-vessel", args=["B02"])).content.decode()
    assert 'name="empty_g_0" value="1135"' in text
    assert '<option value="g" selected>' in text
    again = {**TYPED, "height_cm": "34", "empty_g_0": "1135", "empty_g_1": "g", "key": str(uuid4())}
    assert pages.post(reverse("change-vessel", args=["B02"]), again).status_code == 303
    vessel.refresh_from_db()
    assert (vessel.height_cm, vessel.empty_g) == (Decimal(34), Decimal(1135))


@pytest.mark.parametrize(
    ("name", "typed", "then"),
    [("move-vessel", {"place": "shelf D2"}, "shelf D2"), ("put-away-vessel", {}, "Away")],
)
def test_the_other_acts_have_their_page(pages, technician, name, typed, then):
    acts.add_vessel(code="B02", by=technician, **P20)
    assert pages.get(reverse(name, args=["B02"])).status_code == 200
    answer = pages.post(reverse(name, args=["B02"]), {**typed, "key": str(uuid4())}, follow=True)
    assert answer.status_code == 200
    assert then in answer.content.decode()
