"""Clay bodies: entered, weighed, changed, retired. Walls of scenario B of "day_in_the_room.md"."""

import html
from datetime import date
from decimal import Decimal
from uuid import uuid4

import pytest
from django.urls import reverse
from django.utils import timezone

from studio.errors import NotAllowed, Refused
from studio.people.acts import story
from studio.people.models import Entry
from studio.room.models import Body
from studio.room.operations import bodies as acts
from tests.factories import BodyFactory

BACKEND = "django.contrib.auth.backends.ModelBackend"
BUFF = {"name": "Buff stoneware", "bisque_cone": "06", "wall_mm": Decimal(5)}
SOAKED = {"dry_g": Decimal(100), "soaked_g": Decimal(111), "hung_g": Decimal("58.4")}
# slurry_checks.json j11
DRIED = {"damp_g": Decimal("642.5"), "later_g": Decimal("637.9")}
DRIED |= {"area_cm2": Decimal(420), "hours": Decimal("0.75")}


def test_a_body_weighed_dry_soaked_and_in_water_knows_what_it_drinks(technician):
    """By hand: 11 g into 100 g; 100 g over the 52.6 mL it pushes aside; j11 rounded to four places."""
    body = acts.add_body(**BUFF, **SOAKED, **DRIED, by=technician)
    assert (body.absorption_pct, body.bulk_density) == (Decimal("11.00"), Decimal("1.901"))
    assert body.drying_g_per_cm2_h == Decimal("0.0146")
    assert body.measured_on == timezone.localdate()
    assert body.measured_how == (
        "dry 100 g, soaked 111 g, in water 58.4 g; damp, lost 4.6 g from 420 cm² in 0.75 h"
    )


def test_what_was_weighed_counts_before_what_was_typed(technician):
    body = acts.add_body(**BUFF, absorption_pct=Decimal(9), **SOAKED, by=technician)
    assert body.absorption_pct == Decimal("11.00")


def test_a_body_is_known_by_its_name_alone_at_first(technician):
    body = acts.add_body(name="Porcelain", by=technician)
    assert (body.absorption_pct, body.drying_g_per_cm2_h, body.measured_how) == (None, None, "")


def test_what_was_weighed_stays_said_until_its_number_changes(technician):
    body = acts.add_body(**BUFF, **SOAKED, **DRIED, by=technician)
    kept = {"absorption_pct": body.absorption_pct, "bulk_density": body.bulk_density}
    body = acts.change_body(body=body, **BUFF, **kept, drying_g_per_cm2_h=Decimal("0.02"), by=technician)
    assert body.measured_how == "dry 100 g, soaked 111 g, in water 58.4 g"
    body = acts.change_body(body=body, **BUFF, absorption_pct=Decimal(12), by=technician)
    assert (body.measured_how, body.bulk_density) == ("", None)


def test_a_body_is_added_changed_retired_and_back_and_the_journal_says_so(technician):
    body = acts.add_body(**BUFF, by=technician)
    acts.change_body(body=body, **{**BUFF, "wall_mm": Decimal(6)}, by=technician)
    acts.retire_body(body=body, by=technician)
    with pytest.raises(Refused, match="retired already"):
        acts.retire_body(body=body, by=technician)
    acts.bring_back_body(body=body, by=technician)
    with pytest.raises(Refused, match="in use already"):
        acts.bring_back_body(body=body, by=technician)
    assert [entry.act for entry in story(body)] == [
        "clay body back in use",
        "clay body retired",
        "clay body changed",
        "clay body added",
    ]
    body.refresh_from_db()
    assert body.wall_mm == Decimal(6)


def test_the_same_key_twice_is_one_body(technician):
    key = uuid4()
    first = acts.add_body(**BUFF, by=technician, key=key)
    assert acts.add_body(**BUFF, by=technician, key=key) == first
    assert Body.objects.count() == 1


def test_a_name_is_given_once(technician):
    acts.add_body(**BUFF, by=technician)
    with pytest.raises(Refused, match="called buff stoneware already") as refused:
        acts.add_body(name=" buff  stoneware", by=technician)
    assert refused.value.field == "name"


@pytest.mark.parametrize("who", ["member", "helper"])
def test_only_technicians_enter_bodies(request, who):
    with pytest.raises(NotAllowed):
        acts.add_body(**BUFF, by=request.getfixturevalue(who))
    assert not Body.objects.exists()


@pytest.mark.parametrize(
    ("said", "field", "words"),
    [
        ({"name": "  "}, "name", "needs a name"),
        ({"dry_g": Decimal(100)}, "soaked_g", "belong together"),
        ({"soaked_g": Decimal(100)}, "soaked_g", "belong together"),
        ({"hung_g": Decimal(58)}, "hung_g", "dry and soaked, too"),
        ({"dry_g": Decimal(111), "soaked_g": Decimal(100)}, "soaked_g", "right way round"),
        ({**SOAKED, "hung_g": Decimal(100)}, "hung_g", "less than dry in air"),
        ({"dry_g": Decimal(100), "soaked_g": Decimal(170)}, "absorption_pct", "comes to 70 %"),
        ({**SOAKED, "hung_g": Decimal(1)}, "bulk_density", "1 to 3 g a millilitre"),
        ({**DRIED, "hours": None}, "later_g", "belong together"),
        ({**DRIED, "later_g": Decimal(650)}, "later_g", "gets lighter"),
        ({**DRIED, "hours": Decimal(0)}, "hours", "more than nothing"),
        ({**DRIED, "area_cm2": Decimal(1)}, "drying_g_per_cm2_h", "at most 1 g"),
        ({"wall_mm": Decimal(101)}, "wall_mm", "at most 100 mm"),
        ({"absorption_pct": Decimal(-1)}, "absorption_pct", "more than 0"),
    ],
)
def test_a_body_that_cannot_be_is_refused_with_its_field(technician, said, field, words):
    with pytest.raises(Refused, match=words) as refused:
        acts.add_body(**{**BUFF, **said}, by=technician)
    assert refused.value.field == field
    assert not Body.objects.exists()


# --- pages --------------------------------------------------------------------------------------------


@pytest.fixture
def pages(client, technician):
    client.force_login(technician, backend=BACKEND)
    return client


def shown(answer) -> str:
    return html.unescape(answer.content.decode()).replace("\xa0", " ")


def typed(**said: str) -> dict[str, str]:
    return {"name": "Buff stoneware", "bisque_cone": "06", "key": str(uuid4()), **said}


def test_a_body_through_its_pages(pages):
    weighed = {"dry_g_0": "100", "dry_g_1": "g", "soaked_g_0": "111,0", "soaked_g_1": "g"}
    answer = pages.post(reverse("add-body"), typed(**weighed, bulk_density="1,9", wall_mm="5"), follow=True)
    page = shown(answer)
    assert "Buff stoneware is in the room." in page
    for said in ("11 %", "1.9 g/mL", "0.05225 mL/cm²", "dry 100 g, soaked 111 g", "no wait between coats"):
        assert said in page
    pk = Body.objects.get().pk
    form = shown(pages.get(reverse("change-body", args=[pk])))
    assert 'value="11"' in form.replace("11.00", "11")
    pages.post(
        reverse("change-body", args=[pk]),
        typed(absorption_pct="11", bulk_density="1.9", drying_g_per_cm2_h="0.018", measured_on="2026-03-02"),
    )
    body = Body.objects.get()
    assert (body.drying_g_per_cm2_h, body.measured_on) == (Decimal("0.0180"), date(2026, 3, 2))
    pages.post(reverse("retire-body", args=[pk]), {"key": str(uuid4())})
    assert "retired" in shown(pages.get(reverse("room")))
    pages.post(reverse("bring-back-body", args=[pk]), {"key": str(uuid4())})
    assert Body.objects.get().retired_at is None


def test_the_room_shows_its_bodies_and_says_what_one_is_for_when_there_is_none(pages):
    assert "whether a second coat will form" in shown(pages.get(reverse("room")))
    BodyFactory()
    page = shown(pages.get(reverse("room")))
    assert "Buff stoneware" in page
    assert "0.018 g/cm²/h" in page


@pytest.mark.parametrize(
    ("said", "field"),
    [
        ({"name": ""}, "name"),
        ({"name": "n" * 61}, "name"),
        ({"bisque_cone": "06060"}, "bisque_cone"),
        ({"note": "n" * 201}, "note"),
        ({"absorption_pct": "much"}, "absorption_pct"),
        ({"absorption_pct": "0"}, "absorption_pct"),
        ({"absorption_pct": "-3"}, "absorption_pct"),
        ({"absorption_pct": "41"}, "absorption_pct"),
        ({"absorption_pct": "nan"}, "absorption_pct"),
        ({"absorption_pct": "9" * 50}, "absorption_pct"),
        ({"bulk_density": "0.5"}, "bulk_density"),
        ({"drying_g_per_cm2_h": "2"}, "drying_g_per_cm2_h"),
        ({"wall_mm": "120"}, "wall_mm"),
        ({"dry_g_0": "some", "dry_g_1": "g"}, "dry_g"),
        ({"dry_g_0": "-1", "dry_g_1": "g"}, "dry_g"),
        ({"dry_g_0": "0", "dry_g_1": "g"}, "dry_g"),
        ({"dry_g_0": "1", "dry_g_1": "stone"}, "dry_g"),
        ({"dry_g_0": "101", "dry_g_1": "kg"}, "dry_g"),
        ({"dry_g_0": "1,", "dry_g_1": "g"}, "dry_g"),
        ({"dry_g_0": "100", "dry_g_1": "g"}, "soaked_g"),
        ({"measured_on": "yesterday"}, "measured_on"),
        ({"measured_on": "2026-02-30"}, "measured_on"),
        ({"measured_on": "30"}, "measured_on"),
        ({"measured_on": "0000-00-00"}, "measured_on"),
        ({"measured_on": "2026-13-01"}, "measured_on"),
        ({"measured_on": "<b>"}, "measured_on"),
    ],
)
def test_wrong_input_is_answered_beside_its_field_and_writes_nothing(pages, said, field):
    before = Entry.objects.count()
    answer = pages.post(reverse("add-body"), typed(**said))
    assert answer.status_code == 422
    assert answer.context["form"].errors[field]
    assert (Body.objects.count(), Entry.objects.count()) == (0, before)
    for value in said.values():
        assert value in ("stone", "") or value in shown(answer)
