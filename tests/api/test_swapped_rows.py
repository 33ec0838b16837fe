"""A number of another's row in an address leads nowhere, and a body sets nothing beside what its act is."""

import pytest

from buckets.operations import readings
from studio.people.models import Entry, Member
from tests import factories
from tests.api.asking import amount, program

pytestmark = pytest.mark.django_db


@pytest.fixture
def bram(technician):
    return program(technician)


@pytest.fixture
def two():
    """Two batches of one recipe with weighings and steps, made side by side."""
    version = factories.VersionFactory()
    requests = [factories.RequestFactory(version=version, vessel=factories.VesselFactory()) for _ in "12"]
    return [factories.BatchFactory(state="measured", request=request) for request in requests]


def nothing_there(answer) -> bool:
    return answer.status_code == 404 and set(answer.json()) == {"problem", "fields"}


def test_a_weighing_of_another_batch(bram, two):
    mine, other = two
    take_back = f"weighings/{other.lines.first().weighings.first().pk}/take-back-weighing/"
    reason = {"reason": "other pot"}
    before = Entry.objects.count()
    assert nothing_there(bram.post(f"batches/{mine.number}/{take_back}", reason))
    assert Entry.objects.count() == before
    bram.did(f"batches/{other.number}/{take_back}", reason)


def test_a_step_of_another_batch(bram, two):
    mine, other = two
    step, reason = other.steps.last(), {"reason": "other batch"}
    before = Entry.objects.count()
    assert nothing_there(bram.post(f"batches/{mine.number}/steps/{step.pk}/take-back-step/", reason))
    assert Entry.objects.count() == before
    bram.did(f"batches/{other.number}/steps/{step.pk}/take-back-step/", reason)


def test_a_line_that_this_batch_has_not(bram, two):
    mine, _ = two
    body = {"lot": mine.lines.first().material.lots.first().code, "net_g": 5}
    for position in (0, 99, 70000, 10**20):
        assert nothing_there(bram.post(f"batches/{mine.number}/lines/{position}/weigh-line/", body))
    assert nothing_there(bram.post("batches/99-999/lines/1/weigh-line/", body))


def test_a_lot_of_another_material(bram):
    batch = factories.BatchFactory(state="weighing")
    other = factories.LotFactory(material=factories.MaterialFactory(name="Talc", density="2.7"))
    answer = bram.post(f"batches/{batch.number}/lines/1/weigh-line/", {"lot": other.code, "net_g": 5})
    assert answer.status_code == 422
    assert set(answer.json()["fields"]) == {"lot"}


def test_lists_of_one_row_hold_its_own_only(bram, two, technician):
    mine, other = two
    steps = {row["id"] for row in bram.told(f"batches/{mine.number}/steps/")["results"]}
    assert steps == set(mine.steps.values_list("pk", flat=True))
    assert not steps & set(other.steps.values_list("pk", flat=True))
    fills = [factories.FillFactory(vessel=factories.VesselFactory()) for _ in range(2)]
    for fill in fills:
        readings.record_reading(fill=fill, sg=fill.target_sg, by=technician)
    seen = [{row["fill"] for row in bram.told(f"fills/{fill.pk}/readings/")["results"]} for fill in fills]
    assert seen == [{fills[0].pk}, {fills[1].pk}]


def test_beginning_with_the_fill_of_another_bucket(bram):
    version = factories.VersionFactory()
    there = factories.FillFactory(vessel=factories.VesselFactory(), recipe=version.recipe)
    other = factories.FillFactory(vessel=factories.VesselFactory(), recipe=version.recipe)
    wish = {
        "version": version.pk, "wish": "bring to", "vessel": there.vessel.code, "litres": amount(12, "L"),
    }  # fmt: skip
    number = bram.did("requests/ask-for-glaze/", wish)["number"]
    batch = program(factories.tamsin()).did(f"requests/{number}/approve-request/")["number"]
    measured = {"volume_l": amount("8.3", "L"), "sg": "1.43"}
    refused = bram.post(f"batches/{batch}/begin-batch/", {**measured, "fill": other.pk})
    assert refused.status_code in (409, 422)
    assert bram.told(f"batches/{batch}/")["state"] == "planned"
    assert bram.did(f"batches/{batch}/begin-batch/", {**measured, "fill": there.pk})["state"] == "weighing"


def test_an_act_takes_no_state_no_person_and_no_time(bram, member, technician):
    fill = factories.FillFactory(state="testing")
    before = Entry.objects.count()
    for extra in (
        {"state": "in use"}, {"by": member.pk}, {"at": "2020-01-01T00:00:00Z"}, {"is_check": True},
        {"fill": fill.pk}, {"volume_l_0": "1"}, {"raw": "x"}, {"u_sg": "0.0001"}, {"entered_at": None},
    ):  # fmt: skip
        answer = bram.post(f"fills/{fill.pk}/record-reading/", {"sg": "1.43", **extra})
        assert answer.status_code == 422, extra
        assert set(answer.json()["fields"]) == set(extra)
    assert Entry.objects.count() == before
    assert bram.did(f"fills/{fill.pk}/record-reading/", {"sg": "1.43"})["by"] == technician.pk


def test_nobody_raises_themselves(member):
    asking = program(member)
    for extra in ({"role": "manager"}, {"is_active": True}, {"username": "root"}, {"password": "x" * 12}):
        answer = asking.post("me/change-own-details/", {"name": "Ilse", "units": "metric", **extra})
        assert set(answer.json()["fields"]) == set(extra)
    higher = {"name": "Ilse", "role": "manager"}
    assert asking.post(f"people/{member.pk}/change-member/", higher).status_code == 403
    row = Member.objects.get(pk=member.pk)
    assert (row.role, row.username) == ("member", "ilse")


def test_a_members_private_facts_are_a_managers_alone(member, manager):
    assert program(member).get(f"people/{manager.pk}/").status_code == 403
    assert set(program(member).told("people/")["results"][0]) == {"id", "name", "role"}
    for answer in (program(manager).told(f"people/{member.pk}/"), program(member).told("me/")):
        assert not {"password", "email", "digest", "tokens"} & set(answer)


def test_somebody_elses_entry_is_not_taken_back(member, technician, bram):
    fill = factories.FillFactory()
    stirred = bram.did(f"fills/{fill.pk}/stir/")
    answer = program(member).post(f"care/{stirred['id']}/take-back-care/", {"reason": "not me"})
    assert answer.status_code == 403
    assert len(bram.told(f"fills/{fill.pk}/care/")["results"]) == 1


def test_somebody_elses_request_is_not_withdrawn(member):
    request = factories.RequestFactory(by=factories.person("Wren"), vessel=None)
    answer = program(member).post(f"requests/{request.number}/withdraw-request/")
    assert answer.status_code == 403
    request.refresh_from_db()
    assert request.state == "asked"
