"""What a bucket needs, as its page says it.

Figures of demo_studio.md: B04 on 2026-03-23, B06 on 2026-04-06.
"""

import html
import re
from decimal import Decimal

import pytest
from django.db import transaction

from buckets.models import Fill
from buckets.operations import care
from buckets.operations.readings import record_reading
from buckets.operations.standing import locked, restate
from buckets.queries import change_of
from buckets.views.bucket import reading_facts
from buckets.views.parts.needs import needs
from studio.room import policy
from studio.room.operations.policy import set_policy
from tests.buckets.rows import in_use
from tests.factories import FlowCupFactory, MaterialFactory, VersionFactory, linseed_lines

pytestmark = pytest.mark.django_db
D = Decimal


def bucket(
    code: str, name: str, *, litres: str, sg: str, target: str, soluble: bool = False
) -> tuple[Fill, Decimal]:
    """A fill of a recipe, and the SG it is to be measured at."""
    lines = linseed_lines()
    if soluble:
        ash = MaterialFactory(name="Wood ash, washed", soluble=True)
        lines[0] = type(lines[0])(
            kind=lines[0].kind, material=ash, typed_name=ash.name, parts=D(27), typed="27"
        )
    recipe = VersionFactory(name=name, target_sg=target, lines=lines).recipe
    fill = in_use(code, litres=litres, recipe=recipe)
    return fill, D(sg)


def measured(found, by) -> Fill:
    fill, sg = found
    record_reading(fill=fill, sg=sg, u_sg=D("0.002"), by=by)
    return Fill.objects.select_related("vessel").get(pk=fill.pk)


def shown(answer) -> str:
    text = re.sub(r"<[^>]+>", " ", html.unescape(answer.content.decode()))
    return re.sub(r"\s+", " ", text.replace("\xa0", " ").replace("\u202f", " "))


def page(client, who, code="B04") -> str:
    client.force_login(who)
    answer = client.get(f"/shelf/{code}/")
    assert answer.status_code == 200
    return shown(answer)


def test_b04_of_2026_03_23_is_offered_0_528_kg_of_powder_0_57_l_off_or_waiting(client, technician):
    measured(bucket("B04", "Linseed", litres="11.05", sg="1.408", target="1.43"), technician)
    page_ = page(client, technician)
    assert "528 g of dry glaze" in page_
    assert "565 mL of clear water off" in page_  # 0.57 L
    assert "Leave it open to dry" in page_
    # slurry.md c: phi 0.2474 at 1.408 and 2.649, a bed of 30 %: 11.05 (1 - 0.2474 / 0.3) = 1.94 L clear
    assert "About 1.94 L will stand clear" in page_
    # d / ((1 - phi) V): 0.565 / (0.7526 x 11.05) = 6.8 %
    assert "With it go 6.8 % of whatever is dissolved" in page_
    assert "Powder into water, respirator on" in page_


def test_b06_of_2026_04_06_is_offered_1_10_l_of_water_0_93_l_first(client, technician):
    measured(bucket("B06", "Slate Hour", litres="6.22", sg="1.541", target="1.46"), technician)
    page_ = page(client, technician, "B06")
    assert "1.1 L of water in all. Put in 931 mL first" in page_
    answer = client.get("/shelf/B06/water/?as=advised")
    assert answer.context["form"]["volume_l"].value() == ["931", "mL"]
    after = answer.context["after"]
    # 6.22 L at 1.541 and 0.931 L of water: 7.151 L at 1.4706 (slurry.md c)
    assert after.volume_l == D("7.151")
    assert after.sg == pytest.approx(D("1.4706"), abs=D("0.0002"))
    assert "What will be so" in shown(answer)


def test_ash_rill_is_never_decanted_and_the_page_says_why(client, technician):
    measured(bucket("B13", "Ash Rill", litres="8", sg="1.38", target="1.42", soluble=True), technician)
    page_ = page(client, technician, "B13")
    assert "Do not pour water off: something in this recipe dissolves and would go with it" in page_
    assert "clear water off" not in page_
    assert "Leave it open to dry" in page_
    off = shown(client.get("/shelf/B13/water-off/"))
    assert "do not decant it" in off


def test_where_the_contents_are_unknown_nothing_is_poured_off(client, technician):
    fill = in_use("B07", litres="8", glaze="Old blue", target_sg=D("1.45"), half_window=D("0.02"))
    record_reading(fill=fill, sg=D("1.40"), u_sg=D("0.002"), by=technician)
    page_ = page(client, technician, "B07")
    assert "Do not pour water off: what dissolves in it is not known" in page_
    assert "not known without the density of its powder" in page_


def test_after_a_change_the_amounts_are_gone_and_the_page_asks_to_measure(client, technician):
    fill = measured(bucket("B06", "Slate Hour", litres="6.22", sg="1.541", target="1.46"), technician)
    care.thaw_fill(fill=fill, by=technician)
    page_ = page(client, technician, "B06")
    assert "Stir to the floor and measure, and the amounts stand here again" in page_
    assert "of water in all" not in page_


def test_an_undecided_reading_is_measured_again_before_anything_goes_in(client, technician):
    fill, _ = bucket("B04", "Linseed", litres="9.12", sg="1.417", target="1.43")
    record_reading(fill=fill, sg=D("1.417"), u_sg=D("0.0042"), by=technician)
    assert "Measure again before anything goes in" in page(client, technician)


def test_a_member_sees_what_it_needs_and_no_act_on_it(client, technician, member):
    measured(bucket("B04", "Linseed", litres="11.05", sg="1.408", target="1.43"), technician)
    page_ = page(client, member)
    assert "528 g of dry glaze" in page_
    assert "Grams of each line" not in page_
    assert "Care: what can be done to it" not in page_
    assert "Water off" not in page_


def test_what_is_too_full_for_the_water_is_told_to_take_glaze_out_first(client, technician):
    measured(bucket("B06", "Slate Hour", litres="16", sg="1.60", target="1.46"), technician)
    assert "take stirred glaze out first" in page(client, technician, "B06")


def parts_of(fill: Fill) -> dict:
    facts = reading_facts(fill.check_reading, fill)
    return needs(fill, facts, change_of(fill), policy.in_force())


def test_the_part_costs_no_query_of_its_own(technician, django_assert_num_queries):
    fill = measured(bucket("B04", "Linseed", litres="11.05", sg="1.408", target="1.43"), technician)
    fill = Fill.objects.select_related("vessel", "flow", "flow_reference", "check_reading", "member_reading")
    fill = fill.get(vessel__code="B04")
    facts, changed, rules = reading_facts(fill.check_reading, fill), change_of(fill), policy.in_force()
    with django_assert_num_queries(0):
        found = needs(fill, facts, changed, rules)
    assert found["advice"].powder_g == 528
    # 10.48 L stand at 18.99 cm in pail P20 (slurry.md g)
    assert found["dry_mark_cm"] == pytest.approx(fill.vessel.depth_of_cm(10.485), abs=0.01)


def test_the_bed_is_a_rule_of_the_room(technician):
    fill = measured(bucket("B04", "Linseed", litres="11.05", sg="1.36", target="1.43"), technician)
    loose = parts_of(fill)["advice"]
    set_policy(name="bed_solids_pct", value=D(50), by=technician)
    dense = parts_of(fill)["advice"]
    assert dense.clear_l > loose.clear_l
    assert dense.leaves_l == loose.leaves_l


@pytest.fixture
def timed(technician):
    """Time the flow of a fill through the 4 mm cup: the first time is how it should be."""
    cup = FlowCupFactory()

    def time(fill: Fill, seconds: str, *, is_reference: bool = False) -> None:
        fill.flows.create(cup=cup, seconds=D(seconds), is_reference=is_reference, by=technician)
        with transaction.atomic():
            restate(locked(fill))

    return time


@pytest.mark.parametrize(
    ("sg", "seconds", "said"),
    [
        ("1.43", "24", "SG inside its window, flow too fast (24 s; its reference is 30 s). Dispersed"),
        ("1.43", "31", "SG inside its window, flow as it should be"),
        ("1.43", "36", "Too much flocculant, or gelled"),
        ("1.38", "24", "SG too low, flow too fast (24 s; its reference is 30 s). Too much water"),
        ("1.48", "36", "SG too high, flow too slow (36 s; its reference is 30 s). Water to the target"),
    ],
)
def test_gravity_and_flow_together_give_the_sentence_of_their_cell(
    client, technician, timed, sg, seconds, said
):
    fill = measured(bucket("B04", "Linseed", litres="9", sg=sg, target="1.43"), technician)
    timed(fill, "30", is_reference=True)
    assert "With its flow" not in page(client, technician)
    timed(fill, seconds)
    text = page(client, technician).replace(" )", ")").replace(" (", " (")
    assert said.replace(" (", " (") in text
    assert "SG first, then flow; measure again after each step. Common practice, no source." in text


def test_a_flow_timed_before_something_went_in_says_nothing(client, technician, timed):
    fill = measured(bucket("B04", "Linseed", litres="9", sg="1.43", target="1.43"), technician)
    timed(fill, "30", is_reference=True)
    timed(fill, "24")
    care.water_in(fill=fill, volume_l=D("0.1"), by=technician)
    record_reading(fill=fill, sg=D("1.43"), u_sg=D("0.002"), by=technician)
    text = page(client, technician)
    assert "flow too fast" not in text
    assert "At its target" in text
