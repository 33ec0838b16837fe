"""The reclaim bucket: begun, poured into, named as what it is on its page and its label."""

import html
from decimal import Decimal
from io import BytesIO
from uuid import uuid4

import pytest
from pypdf import PdfReader

from buckets.labels import bucket_label_content
from buckets.models import Care, Fill
from buckets.operations import care
from buckets.operations.labels import print_bucket_label
from buckets.operations.reclaim import begin_reclaim, pour_into_reclaim
from studio.errors import NotAllowed, Refused
from studio.room.operations.vessels import put_away_vessel
from tests.buckets.rows import in_use, pail

pytestmark = pytest.mark.django_db
D = Decimal


def begun(by, litres="2", code="B12") -> Fill:
    return begin_reclaim(vessel=pail(code), volume_l=D(litres), by=by)


def test_an_empty_vessel_becomes_a_reclaim_bucket_in_testing_with_nothing_known_of_it(technician):
    fill = begun(technician)
    fill.refresh_from_db()
    assert (fill.reclaim, fill.history_unknown, fill.state, fill.glaze) == (True, True, "testing", "Reclaim")
    assert (fill.volume_l, fill.contents) == (D(2), [])
    assert fill.parents.get().batch is None


def test_it_may_begin_empty_and_under_its_own_name(technician):
    fill = begin_reclaim(vessel=pail("B12"), glaze="Mystery brown", by=technician)
    assert (fill.glaze, fill.volume_l) == ("Mystery brown", D(0))


def test_what_is_poured_in_says_from_where(helper, technician):
    fill = begun(technician)
    row = pour_into_reclaim(fill=fill, volume_l=D("1.5"), source="the trap under the sink", by=helper)
    fill.refresh_from_db()
    assert fill.volume_l == D("3.5")
    assert (row.kind, row.how, row.note) == ("topped up", "reclaim", "the trap under the sink")
    assert row.change_g is None  # nobody weighed it
    known = pour_into_reclaim(fill=fill, volume_l=D(1), sg=D("1.4"), source="B04", by=helper)
    assert known.change_g == D(1400)


def test_taken_back_it_was_never_poured_in(technician):
    fill = begun(technician)
    row = pour_into_reclaim(fill=fill, volume_l=D(1), source="B04", by=technician)
    care.take_back_care(care=row, reason="waste drum", by=technician)
    fill.refresh_from_db()
    assert fill.volume_l == D(2)


@pytest.mark.parametrize(
    ("said", "sentence"),
    [
        ({"volume_l": D(0), "source": "B04"}, "more than 0 L"),
        ({"volume_l": D(-1), "source": "B04"}, "more than 0 L"),
        ({"volume_l": D(1), "source": "  "}, "Where is it from"),
        ({"volume_l": D("18.4"), "source": "B04"}, "does not fit"),
        ({"volume_l": D("15.4"), "source": "B04"}, "over the 17.31"),
        ({"volume_l": D(1), "source": "B04", "sg": D("0.9")}, "as heavy as water"),
    ],
)
def test_what_cannot_be_poured_in_is_refused(technician, said, sentence):
    fill = begun(technician)
    with pytest.raises(Refused, match=sentence):
        pour_into_reclaim(fill=fill, by=technician, **said)
    assert not Care.objects.exists()


def test_a_glaze_is_no_reclaim_bucket(technician):
    fill = in_use("B04", litres="3", glaze="Old blue")
    with pytest.raises(Refused, match="no reclaim bucket"):
        pour_into_reclaim(fill=fill, volume_l=D(1), source="the sieve", by=technician)


def test_a_full_or_put_away_vessel_is_refused(technician):
    in_use("B04", litres="3", glaze="Old blue")
    with pytest.raises(Refused, match="already holds"):
        begin_reclaim(vessel=pail("B04"), by=technician)
    put_away_vessel(vessel=pail("B05"), by=technician)
    with pytest.raises(Refused, match="put away"):
        begin_reclaim(vessel=pail("B05"), by=technician)
    assert Fill.objects.filter(reclaim=True).count() == 0


def test_a_helper_begins_none_and_a_member_pours_nothing_in(helper, member, technician):
    with pytest.raises(NotAllowed):
        begun(helper)
    fill = begun(technician)
    with pytest.raises(NotAllowed):
        pour_into_reclaim(fill=fill, volume_l=D(1), source="B04", by=member)


def test_the_same_key_begins_one(technician):
    vessel, key = pail("B12"), uuid4()
    first = begin_reclaim(vessel=vessel, volume_l=D(1), by=technician, key=key)
    assert begin_reclaim(vessel=vessel, volume_l=D(1), by=technician, key=key) == first
    assert Fill.objects.count() == 1


def test_its_page_and_its_label_say_what_it_is(client, technician):
    fill = begun(technician)
    client.force_login(technician)
    page = html.unescape(client.get("/shelf/B12/").content.decode()).replace("\xa0", " ")
    assert "Reclaim: not for food surfaces" in page
    assert "2.0 L of the 17.3 L it is filled to" in page
    assert "Pour something in" in page
    assert bucket_label_content(fill)["reclaim"] is True
    label = print_bucket_label(fill=fill, by=technician)
    (paper,) = PdfReader(BytesIO(client.get(f"/labels/{label.serial}.pdf").content)).pages
    assert "reclaim: not for food surfaces" in " ".join(paper.extract_text().split())


def test_begun_and_poured_into_through_the_pages(client, technician):
    pail("B12")
    client.force_login(technician)
    answer = client.post(
        "/shelf/reclaim/",
        {"key": uuid4(), "vessel": "B12", "volume_l_0": "2", "volume_l_1": "L", "note": "sieve ends"},
    )
    assert (answer.status_code, answer.url) == (303, "/shelf/B12/")
    fill = Fill.objects.get()
    said = {"fill": fill.pk, "key": uuid4(), "volume_l_0": "500", "volume_l_1": "mL", "source": "the sieve"}
    assert client.post("/shelf/B12/reclaim/", said).status_code == 303
    page = html.unescape(client.get("/shelf/B12/").content.decode()).replace("\xa0", " ")
    assert "Poured in, 500 mL" in page
    assert "the sieve" in page


def test_only_empty_buckets_are_offered_and_when_there_is_none_the_page_says_what_to_do(client, technician):
    in_use("B04", litres="3", glaze="Old blue")
    client.force_login(technician)
    page = client.get("/shelf/reclaim/").content.decode()
    assert "No bucket is empty" in page
    assert 'value="B04"' not in page
    pail("B12")
    page = client.get("/shelf/reclaim/?bucket=B12").content.decode()
    assert "No bucket is empty" not in page
    assert '<option value="B12" selected>' in page
