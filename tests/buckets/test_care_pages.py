"""The pages of care: a dose worked out, powder from lots, recovery step by step, and the story of it all."""

import html
import re
from datetime import timedelta
from decimal import Decimal
from uuid import uuid4

import pytest
from django.utils import timezone

from buckets.models import Care, Fill
from buckets.operations import additives, care
from buckets.operations.readings import record_reading
from studio.materials.models import Movement
from tests.buckets.rows import gannet, in_use
from tests.factories import VersionFactory

pytestmark = pytest.mark.django_db
D = Decimal


def shown(answer) -> str:
    text = re.sub(r"<[^>]+>", " ", html.unescape(answer.content.decode()))
    return re.sub(r"\s+", " ", text.replace("\xa0", " ").replace("\u202f", " "))


@pytest.fixture
def fill(technician) -> Fill:
    """15 L of Linseed at 1.43, just measured."""
    there = in_use("B04", litres="15", recipe=VersionFactory().recipe)
    record_reading(fill=there, sg=D("1.43"), u_sg=D("0.002"), by=technician)
    return Fill.objects.select_related("vessel", "version").get(pk=there.pk)


@pytest.fixture
def ask(client, technician, fill):
    """Send a form of a page of B04, or open it."""
    client.force_login(technician)

    def send(address: str, **typed):
        if not typed:
            return client.get(f"/shelf/B04/{address}/")
        return client.post(f"/shelf/B04/{address}/", {"fill": fill.pk, "key": uuid4(), **typed})

    return send


def test_a_dose_is_worked_out_half_first_before_anything_goes_in(ask):
    said = {"additive": "magnesium sulfate", "wanted_pct": "0.1", "stock_g_per_l": "200", "look": "1"}
    answer = ask("additive", **said)
    assert answer.status_code == 200
    # 15 L at 1.43 and 2.649: C 0.6908 kg/L, 10.36 kg dry; 0.1 % are 10.36 g, 51.8 mL (slurry.md a and m)
    text = shown(answer)
    assert "26 mL first , 52 mL in all" in text
    assert "10.4 g = 10.361 kg × 0.1 %" in text
    assert not Care.objects.exists()


def test_a_dose_without_crystal_water_takes_more_of_the_salt(ask):
    said = {"additive": "magnesium sulfate", "wanted_pct": "0.1", "stock_g_per_l": "200", "look": "1"}
    text = shown(ask("additive", **said, anhydrous="on"))
    # 51.8 mL x 2.04772 = 106 mL (slurry.md m)
    assert "106 mL in all" in text
    assert "for its crystal water" in text


def test_more_than_usual_is_said(ask):
    said = {"additive": "calcium chloride", "wanted_pct": "0.5", "stock_g_per_l": "200", "look": "1"}
    assert "That is more than usual" in shown(ask("additive", **said))


def test_what_goes_in_is_written_with_its_dose_and_told_in_the_story(ask, client):
    said = {"additive": "magnesium sulfate", "stock_g_per_l": "200", "volume_l_0": "26", "volume_l_1": "mL"}
    looked = ask("additive", **said, look="1")
    assert "15.03 L" in shown(looked)
    assert not Care.objects.exists()
    assert ask("additive", **said).status_code == 303
    text = shown(client.get("/shelf/B04/"))
    assert "Magnesium sulfate in, 26 mL of 200 g/L, 0.05 % of the dry glaze" in text
    assert "magnesium sulfate added to the bucket; its data sheet decides" in text
    assert "Stir to the floor and measure, and the amounts stand here again" in text


def test_the_page_of_additives_holds_the_cautions_and_the_whole_table(ask):
    text = shown(ask("additive"))
    assert "make the skin allergic" in text
    assert "The data sheet of the product decides" in text
    for side in ("low", "ok", "high"):
        for pace in ("fast", "ok", "slow"):
            assert f"SG {side}, flow {pace}" in text
    assert "common practice, no source" in text.lower()


def test_powder_is_weighed_on_the_page_line_by_line(ask, client, fill, technician):
    care.water_in(fill=fill, volume_l=D("0.5"), by=technician)
    record_reading(fill=fill, sg=D("1.415"), u_sg=D("0.002"), volume_l=D(15), by=technician)
    answer = ask("powder")
    form, lines = answer.context["form"], answer.context["lines"]
    assert [line["name"] for line in lines][:2] == ["Potash feldspar", "Frit L"]
    assert "Respirator on" in shown(answer)
    said = {"rows": str(len(form.rows)), "mass_g_0": "", "mass_g_1": "g", "note": ""}
    for number, line in enumerate(lines):
        said |= {
            f"row{number}-lot": line["lots"][0][0],
            f"row{number}-net_g_0": str(line["grams"]),
            f"row{number}-net_g_1": "g",
        }
    looked = ask("powder", **said, look="1")
    assert looked.status_code == 200
    assert "What will be so" in shown(looked)
    assert not Movement.objects.filter(kind="weighed").exists()
    assert ask("powder", **said).status_code == 303
    assert Movement.objects.filter(kind="weighed").count() == len(lines)
    assert "Powder in" in shown(client.get("/shelf/B04/"))
    row = Care.objects.get(kind="powder in")
    assert "row0-net_g_0" in row.raw


def test_a_powder_of_the_wrong_shares_is_refused_with_everything_still_typed(ask):
    lines = ask("powder").context["lines"]
    said = {"rows": "1", "row0-lot": lines[0]["lots"][0][0], "row0-net_g_0": "136", "row0-net_g_1": "g"}
    answer = ask("powder", **said)
    assert answer.status_code == 422
    assert "is missing" in shown(answer)
    assert 'value="136"' in answer.content.decode()


def test_the_last_lines_of_a_fill_without_a_recipe_are_not_asked_for(client, technician):
    in_use("B07", litres="6", glaze="Old blue")
    client.force_login(technician)
    answer = client.get("/shelf/B07/powder/")
    assert not answer.context["form"].rows
    assert "is assumed, common practice" in shown(answer)


def test_a_thawed_bucket_is_led_through_its_steps(ask, fill, technician):
    steps = {step.name: step for step in ask("thawed").context["steps"]}
    assert list(steps) == ["thawed", "stirred", "sieved", "measured"]
    assert not any(step.done_at for step in steps.values())
    answer = ask("thawed", note="the heater was off")
    assert (answer.status_code, answer.url) == (303, "/shelf/B04/thawed/")
    care.stir(fill=fill, by=technician)
    care.sieve_fill(fill=fill, mesh=80, by=technician)
    done = [step.name for step in ask("thawed").context["steps"] if step.done_at]
    assert done == ["thawed", "stirred", "sieved"]
    record_reading(fill=fill, sg=D("1.43"), u_sg=D("0.002"), by=technician)
    assert all(step.done_at for step in ask("thawed").context["steps"])


def test_a_bucket_settled_hard_is_loosened_dosed_left_ten_minutes_and_measured(ask, fill, technician):
    text = shown(ask("hard-settled"))
    assert "is loosened by hand, not by water" in text
    assert ask("hard-settled", note="with the paddle").status_code == 303
    at = timezone.now()
    additives.additive_in(fill=fill, additive="magnesium sulfate", mass_g=D(5), by=technician, at=at)
    steps = {step.name: step for step in ask("hard-settled").context["steps"]}
    assert steps["dosed"].done_at == at
    assert steps["waited"].until == at + timedelta(minutes=10)
    assert steps["waited"].done_at is None
    assert steps["measured"].done_at is None
    assert "Wait 10 min" in shown(ask("hard-settled"))


def test_after_ten_minutes_the_wait_is_over(ask, client, fill, technician):
    long_ago = timezone.now() - timedelta(minutes=30)
    fill.poured_at = long_ago - timedelta(days=1)
    care.loosen(fill=fill, by=technician, at=long_ago)
    steps = {step.name: step for step in ask("hard-settled").context["steps"]}
    assert steps["waited"].done_at == long_ago + timedelta(minutes=10)
    assert "Settled hard: loosened by hand to the floor" in shown(client.get("/shelf/B04/"))


def test_the_story_tells_each_kind_and_what_was_taken_back(ask, client, fill, technician):
    care.water_off(fill=fill, how="decanted", volume_l=D("0.4"), note="liquor in the blue can", by=technician)
    row = care.sieve_fill(fill=fill, mesh=120, residue_g=D("12.5"), rinse_l=D("0.3"), by=technician)
    care.thaw_fill(fill=fill, by=technician)
    text = shown(client.get("/shelf/B04/"))
    for said in (
        "Water off, 400 mL decanted",
        "liquor in the blue can",
        "Sieved, 120 mesh, 12.5 g stayed on it",
        "Water in, 300 mL",
        "rinse water of the sieve",
        "Thawed",
    ):
        assert said in text
    assert "Take back: sieved, 120 mesh" in shown(client.get(f"/shelf/B04/care/{row.pk}/take-back/"))
    care.take_back_care(care=row, reason="it was B05", by=technician)
    assert "Taken back: sieved, 120 mesh" in shown(client.get("/shelf/B04/"))


def test_a_helper_signed_off_sees_care_and_no_powder(client, helper):
    in_use(litres="8", recipe=gannet(), sg=D("1.45"))
    client.force_login(helper)
    text = shown(client.get("/shelf/B02/"))
    assert "Care: what can be done to it" in text
    assert "Additive in" in text
    assert "Powder in" not in text


def test_no_page_of_care_asks_more_than_twelve_questions(
    client, technician, fill, django_assert_max_num_queries
):
    client.force_login(technician)
    for address in ("water", "water-off", "powder", "additive", "sieve", "thawed", "hard-settled", "empty"):
        with django_assert_max_num_queries(12):
            assert client.get(f"/shelf/B04/{address}/").status_code == 200
