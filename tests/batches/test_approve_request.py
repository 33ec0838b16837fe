"""A request becomes a planned batch with its stock promised, or is declined or withdrawn."""

from datetime import UTC, datetime
from decimal import Decimal
from uuid import uuid4

import pytest
from django.urls import reverse

from batches.models import Batch, Request
from batches.operations.requests import (
    approve_request,
    ask_for_glaze,
    decline_request,
    withdraw_request,
)
from batches.queries import ShortOfStock
from studio.errors import NotAllowed, Refused
from studio.materials.models import Lot, Material, Reservation
from studio.materials.operations.materials import change_material
from studio.materials.operations.stock import correct_stock
from studio.materials.queries import reserved_for, standing
from studio.recipes.models import Line
from studio.recipes.operations.versions import TypedLine, add_version, approve_version
from tests.batches import glazes
from tests.batches.words import spaced, words_of
from tests.factories import person

pytestmark = pytest.mark.django_db
D = Decimal


@pytest.fixture
def asked(member):
    """Scenario A's 15 L of Gannet White in B02, asked by a member."""
    vessel = glazes.room()
    return ask_for_glaze(
        version=glazes.gannet_white(),
        wish=Request.Wish.BRING_TO,
        litres=D(15),
        vessel=vessel,
        old_volume_l=D("4.2"),
        old_sg=D("1.52"),
        by=member,
    )


def test_approving_plans_a_batch_with_its_full_copy(asked, technician):
    batch = approve_request(request=asked, by=technician, at=datetime(2026, 4, 6, 9, tzinfo=UTC))

    asked.refresh_from_db()
    assert (asked.state, asked.decided_by) == ("approved", technician)
    assert (batch.number, batch.state, batch.request) == ("26-001", "planned", asked)
    assert (batch.dry_g, batch.base_g, batch.water_l, batch.first_water_l) == (
        7204, 6549, D("8.162"), D("7.183"),
    )  # fmt: skip
    assert (batch.old_volume_l, batch.old_sg, batch.vessel.code) == (D("4.2"), D("1.52"), "B02")
    assert batch.copy["name"] == "Gannet White"
    assert [line["parts"] for line in batch.copy["lines"]] == [
        "22.0000", "28.0000", "17.0000", "17.0000", "16.0000", "10.0000",
    ]  # fmt: skip
    assert batch.copy["lines"][5]["hazard_words"] == "dust"
    assert [line.target_g for line in batch.lines.all()] == [1441, 1834, 1113, 1113, 1048, 655]


def test_every_line_is_reserved_under_the_batch(asked, technician):
    batch = approve_request(request=asked, by=technician)
    held = reserved_for(f"batch {batch.number}")
    assert {line: mass for (_, line), mass in held.items()} == {
        str(line.position): line.target_g for line in batch.lines.all()
    }
    frit = Material.objects.get(name="Frit A")
    # demo_studio.md 3: FA-03 holds 6 699 g
    assert standing([frit.pk])[frit.pk].available_g == 6699 - 1834


def test_short_stock_is_refused_naming_material_and_amount(asked, technician):
    for code, left in (("FA-03", "1200"), ("SI-21", "0.5")):
        correct_stock(lot=Lot.objects.get(code=code), to_g=D(left), reason="counted", by=technician)
    with pytest.raises(ShortOfStock) as refused:
        approve_request(request=asked, by=technician)

    said = spaced(refused.value.sentence)
    assert "Frit A is short by 634 g (1 834 g needed, 1.2 kg available)" in said
    assert "Silica is short by 1 112.5 g" in said
    assert not Batch.objects.exists()
    assert not Reservation.objects.exists()
    asked.refresh_from_db()
    assert asked.state == "asked"


def test_what_one_batch_was_promised_the_next_can_not_have(asked, member, technician):
    version = asked.version
    approve_request(request=asked, by=technician)
    # 6 699 g of Frit A less 1 834 g are 4 865 g; 28 of 110 parts of 20 kg are 5 090.9 g
    more = ask_for_glaze(version=version, wish="dry total", dry_g=D(20000), by=member)
    with pytest.raises(ShortOfStock, match="Frit A is short by 226"):
        approve_request(request=more, by=technician)


def test_a_helper_can_not_approve(asked, helper):
    with pytest.raises(NotAllowed, match="to approve"):
        approve_request(request=asked, by=helper)


def test_a_request_is_approved_once(asked, technician):
    approve_request(request=asked, by=technician)
    with pytest.raises(Refused, match="Request 301 is approved already"):
        approve_request(request=asked, by=technician)
    assert Batch.objects.count() == 1


def test_the_same_key_answers_with_the_first_batch(asked, technician):
    key = uuid4()
    first = approve_request(request=asked, by=technician, key=key)
    assert approve_request(request=asked, by=technician, key=key) == first
    assert Batch.objects.count() == 1


def test_batches_are_numbered_by_year(asked, member, technician):
    version = asked.version
    when = [datetime(2026, 12, 30, 9, tzinfo=UTC), datetime(2027, 1, 2, 9, tzinfo=UTC)]
    first = approve_request(request=asked, by=technician, at=when[0])
    second = ask_for_glaze(version=version, wish="dry total", dry_g=D(2000), by=member)
    assert first.number == "26-001"
    assert approve_request(request=second, by=technician, at=when[1]).number == "27-001"


def test_later_edits_of_recipe_and_material_change_nothing_in_the_batch(asked, technician):
    # edge_cases.md 20 and 21: a batch prints exactly as it was planned
    batch = approve_request(request=asked, by=technician)
    silica = Material.objects.get(name="Silica")
    change_material(
        material=silica,
        name="Flint 200",
        role=silica.role,
        density=silica.density,
        density_source=silica.density_source,
        soluble=False,
        hazard_words="respirable silica, renamed",
        aliases=["Silica"],
        by=technician,
    )
    line = TypedLine(kind=Line.Kind.BASE, material=silica, typed_name="Flint", parts=D(1), typed="1")
    draft = add_version(
        recipe=asked.version.recipe, lines=[line], target_sg=D("1.5"), reason="trial", by=technician
    )
    approve_version(version=draft, by=person("Tamsin", "technician"))

    batch = Batch.objects.get(pk=batch.pk)
    assert batch.copy["version"] == 1
    assert batch.copy["lines"][2]["name"] == "Silica"
    assert [row.name for row in batch.lines.all()][2] == "Silica"
    assert [row.target_g for row in batch.lines.all()] == [1441, 1834, 1113, 1113, 1048, 655]


def test_declining_needs_a_reason_and_keeps_it(asked, technician):
    with pytest.raises(Refused, match="Say why"):
        decline_request(request=asked, reason="  ", by=technician)
    row = decline_request(request=asked, reason="B01 is nearly full, use that", by=technician)
    assert (row.state, row.reason, row.decided_by) == ("declined", "B01 is nearly full, use that", technician)
    with pytest.raises(Refused, match="declined already"):
        approve_request(request=asked, by=technician)


def test_only_the_asker_withdraws(asked, member, technician):
    with pytest.raises(NotAllowed, match="Only Ilse can withdraw request 301"):
        withdraw_request(request=asked, by=technician)
    assert withdraw_request(request=asked, by=member).state == "withdrawn"


def test_an_approved_request_can_not_be_withdrawn(asked, member, technician):
    approve_request(request=asked, by=technician)
    with pytest.raises(Refused, match="a technician can abandon the batch"):
        withdraw_request(request=asked, by=member)


# --- through the pages


def test_the_request_page_shows_the_plan_and_approves_it(client, asked, technician):
    client.force_login(technician)
    page = client.get(reverse("request", args=[301]))
    said = words_of(page)
    assert "B02 brought to 15 L at SG 1.450" in said
    assert "1 441 g" in said
    answer = client.post(reverse("approve-request", args=[301]), {"key": uuid4()})
    batch = Batch.objects.get()
    assert answer.status_code == 303
    assert answer.url == reverse("batch", args=[batch.number])
    assert f"{batch.number}, planned" in words_of(client.get(reverse("request", args=[301])))


def test_short_stock_is_said_on_the_page_and_nothing_is_written(client, asked, technician):
    correct_stock(lot=Lot.objects.get(code="FA-03"), to_g=D(1200), reason="counted", by=technician)
    client.force_login(technician)
    answer = client.post(reverse("approve-request", args=[301]), {"key": uuid4()})
    assert answer.status_code == 422
    assert "Frit A is short by 634 g" in words_of(answer)
    assert not Batch.objects.exists()


def test_a_member_sees_the_request_but_no_approval(client, asked, member):
    client.force_login(member)
    said = words_of(client.get(reverse("request", args=[301])))
    assert "Approve and reserve" not in said
    assert "I no longer need it" in said
    assert client.post(reverse("approve-request", args=[301]), {"key": uuid4()}).status_code == 403
    assert client.post(reverse("withdraw-request", args=[301]), {"key": uuid4()}).status_code == 303
    assert Request.objects.get().state == "withdrawn"


def test_declining_through_the_page_keeps_what_was_typed(client, asked, technician):
    client.force_login(technician)
    address = reverse("decline-request", args=[301])
    empty = client.post(address, {"key": uuid4(), "reason": ""})
    assert empty.status_code == 422
    assert "Say why, so that the asker knows what to do instead." in words_of(empty)
    assert client.post(address, {"key": uuid4(), "reason": "use B01"}).status_code == 303
    assert "Declined by Bram, just now: use B01" in words_of(client.get(reverse("request", args=[301])))


def test_a_newer_version_is_pointed_out(client, asked, technician):
    line = TypedLine(
        kind=Line.Kind.BASE, material=glazes.material("Kaolin"), typed_name="Kaolin", parts=D(1), typed="1"
    )
    recipe = asked.version.recipe
    draft = add_version(recipe=recipe, lines=[line], target_sg=D("1.4"), reason="trial", by=technician)
    approve_version(version=draft, by=person("Tamsin", "technician"))
    client.force_login(technician)
    said = words_of(client.get(reverse("request", args=[301])))
    assert "Version 2 is in force now; this request is for version 1" in said


def test_the_making_page_lists_what_waits_and_what_is_under_way(client, asked, member, technician):
    other = ask_for_glaze(version=asked.version, wish="dry base", dry_g=D(1000), why="tests", by=member)
    batch = approve_request(request=asked, by=technician)
    client.force_login(member)
    said = words_of(client.get(reverse("making")))
    assert f"request {other.number} · tests" in said
    assert f"{batch.number} Gannet White" in said
    assert "1 asked for · 1 under way" in said


def test_the_making_page_says_so_when_nothing_is_there(client, member):
    client.force_login(member)
    said = words_of(client.get(reverse("making")))
    assert "Nobody is waiting" in said
    assert "No batch is being made" in said


def test_lists_and_request_need_few_queries_however_many_there_are(
    client, asked, member, technician, django_assert_max_num_queries
):
    for grams in range(1000, 1020):
        row = ask_for_glaze(version=asked.version, wish="dry base", dry_g=D(grams), by=member)
        if grams % 5 == 0:
            approve_request(request=row, by=technician)
    client.force_login(technician)
    for address in (reverse("making"), reverse("request", args=[301])):
        with django_assert_max_num_queries(12):
            assert client.get(address).status_code == 200


# --- over the API


def test_the_api_approves_declines_and_withdraws(client, asked, member, technician):
    version = asked.version
    second = ask_for_glaze(version=version, wish="dry base", dry_g=D(1000), by=member)
    third = ask_for_glaze(version=version, wish="dry base", dry_g=D(1000), by=member)

    def post(name, number, body="{}"):
        address = reverse(name, args=[number])
        headers = {"Idempotency-Key": str(uuid4())}
        return client.post(address, body, content_type="application/json", headers=headers)

    client.force_login(technician)
    approved = post("api-approve-request", asked.number)
    assert approved.status_code == 201
    assert approved.json()["state"] == "planned"
    assert post("api-decline-request", second.number, '{"reason": "no"}').json()["state"] == "declined"
    again = post("api-approve-request", second.number)
    assert (again.status_code, again.json()["fields"]) == (409, {})
    client.force_login(member)
    assert post("api-withdraw-request", third.number).json()["state"] == "withdrawn"
    assert post("api-approve-request", third.number).status_code == 403
