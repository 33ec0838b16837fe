"""The bucket's page: the answer first, the acts, what is in it, its story; and who may see what."""

import html
import re
from datetime import timedelta
from decimal import Decimal
from uuid import uuid4

import pytest
from django.utils import timezone

from buckets.models import Care, Report
from buckets.operations import care
from buckets.operations.labels import print_bucket_label
from buckets.operations.readings import record_reading, take_back_reading
from studio.room.operations.policy import set_policy
from tests.buckets.rows import fine_scale, flask, found, in_use, pail

pytestmark = pytest.mark.django_db


def text(answer) -> str:
    bare = re.sub(r"<svg.*?</svg>|<[^>]+>", " ", answer.content.decode(), flags=re.S)
    return re.sub(r"\s+", " ", html.unescape(bare).replace("\xa0", " "))


def page_of(client, who, code="B02") -> str:
    if who:
        client.force_login(who)
    answer = client.get(f"/shelf/{code}/")
    assert answer.status_code == 200
    return text(answer)


def test_the_answer_comes_first_then_the_acts_then_the_figures(client, technician):
    fill = in_use(litres="4.2")
    record_reading(fill=fill, by=technician, gross_g=Decimal("209.9"), glass=flask(), scale=fine_scale())
    page = page_of(client, technician)
    order = [
        "Do not use",
        "too thick",
        "I stirred it",
        "Something is wrong with it",
        "1.520 ± 0.004",
        "209.9",
        "To reach SG 1.450",
        "653 mL of water",
        "In it",
        "DATA MISSING: treat as hazardous dust.",
        "quartz dust",
        "Nothing here says it is fit for food",
        "Story of this fill",
    ]
    assert [said for said in order if said not in page] == []
    places = [page.index(said) for said in order]
    assert places == sorted(places)


def test_one_tap_notes_the_stir_and_comes_back(client, technician, member):
    fill = in_use()
    record_reading(fill=fill, by=technician, sg=Decimal("1.45"), u_sg=Decimal("0.002"))
    client.force_login(member)
    form = client.get("/shelf/B02/").content.decode()
    key = re.search(r'name="key" value="([0-9a-f-]{36})"', form).group(1)
    answer = client.post("/shelf/B02/stir/", {"fill": fill.pk, "key": key}, follow=True)
    assert answer.redirect_chain == [("/shelf/B02/", 303)]
    assert "Noted: stirred just now." in text(answer)
    assert Care.objects.get().by == member


def test_only_one_strong_button_stands_on_the_page(client, technician, member):
    fill = in_use()
    client.force_login(technician)
    for sg in (None, "1.45", "1.52", "1.40"):
        if sg:
            record_reading(fill=fill, by=technician, sg=Decimal(sg), u_sg=Decimal("0.002"))
        page = client.get("/shelf/B02/").content.decode()
        assert len(re.findall(r'class="(?:button )?strong"', page)) <= 1


def test_a_stranger_reads_without_names_and_may_only_report(client, technician, member):
    fill = in_use()
    record_reading(fill=fill, by=technician, sg=Decimal("1.45"), u_sg=Decimal("0.002"))
    care.stir(fill=fill, by=member)
    page = page_of(client, None)
    assert "Dip" in page
    assert "a member" in page
    for hidden in ("Ilse", "Bram", "take back", "Take a reading", "Hold it"):
        assert hidden not in page
    answer = client.post("/shelf/B02/report/", {"fill": fill.pk, "key": uuid4(), "words": "blue specks"})
    assert answer.status_code == 303
    assert Report.objects.get().by is None
    assert "Do not use" in text(client.get("/shelf/B02/"))


def test_a_studio_that_closes_its_buckets_sends_strangers_to_the_log_in(client, technician):
    in_use()
    set_policy(name="open_bucket_pages", value=Decimal(0), by=technician)
    for address in ("/shelf/B02/", "/shelf/B02/report/"):
        answer = client.get(address)
        assert (answer.status_code, answer.url) == (302, f"/people/login/?next={address}")


def test_what_a_person_may_not_do_is_not_offered_and_is_refused_by_its_right(client, member, helper):
    in_use()
    page = page_of(client, member)
    assert ("Water in" in page, "Hold it" in page) == (False, False)
    answer = client.get("/shelf/B02/water/")
    assert answer.status_code == 403
    assert "to add water and sieve" in text(answer)
    assert "Water in" in page_of(client, helper)


def test_the_story_shows_corrections_and_offers_to_take_back_what_one_may(client, technician, member):
    fill = in_use()
    wrong = record_reading(fill=fill, by=technician, sg=Decimal("1.6"))
    take_back_reading(reading=wrong, reason="other bucket", by=technician)
    theirs = care.stir(fill=fill, by=technician)
    own = care.log_use(fill=fill, volume_l=Decimal("0.243"), pieces=2, by=member)
    client.force_login(member)
    page = client.get("/shelf/B02/").content.decode()
    assert re.search(r'class="undone">Reading 1\.600.*?taken back', page, flags=re.S)
    assert "Taken back: reading 1.600" in page
    assert "other bucket" in page
    assert f"/shelf/B02/uses/{own.pk}/take-back/" in page
    assert f"/shelf/B02/care/{theirs.pk}/take-back/" not in page
    client.force_login(technician)
    assert f"/shelf/B02/care/{theirs.pk}/take-back/" in client.get("/shelf/B02/").content.decode()


def test_the_story_ends_after_forty_events(client, technician):
    fill = in_use()
    now = timezone.now()
    for n in range(45):
        care.stir(fill=fill, by=technician, at=now - timedelta(minutes=n))
    client.force_login(technician)
    story = client.get("/shelf/B02/").context["story"]
    assert len(story) == 40
    assert [event.at for event in story] == sorted((event.at for event in story), reverse=True)


def test_taking_back_through_the_page(client, member):
    fill = in_use(litres="5")
    use = care.log_use(fill=fill, volume_l=Decimal(1), by=member)
    client.force_login(member)
    address = f"/shelf/B02/uses/{use.pk}/take-back/"
    assert "used, 1 L" in text(client.get(address))
    assert client.post(address, {"key": uuid4(), "reason": ""}).status_code == 422
    assert client.post(address, {"key": uuid4(), "reason": "other bucket"}).status_code == 303
    fill.refresh_from_db()
    assert fill.volume_l == Decimal(5)


def test_the_label_in_force_is_named_and_can_be_printed_again(client, technician):
    fill = in_use()
    label = print_bucket_label(fill=fill, by=technician)
    client.force_login(technician)
    page = client.get("/shelf/B02/").content.decode()
    assert label.serial in page
    assert f"/labels/?fill={fill.pk}" in page


def test_a_held_bucket_shows_the_report_and_is_lifted_with_a_decision(client, technician, member):
    fill = in_use()
    client.force_login(member)
    client.post("/shelf/B02/report/", {"fill": fill.pk, "key": uuid4(), "words": "blue specks"})
    page = page_of(client, technician)
    assert "“blue specks”" in page
    report = Report.objects.get()
    answer = client.post(
        f"/shelf/B02/reports/{report.pk}/answer/",
        {"key": uuid4(), "answer": "sieved, good", "decision": "put right"},
    )
    assert answer.status_code == 303
    fill.refresh_from_db()
    assert not fill.held
    client.post("/shelf/B02/hold/", {"fill": fill.pk, "key": uuid4(), "reason": "smells"})
    assert "smells" in page_of(client, technician)
    client.post("/shelf/B02/lift/", {"fill": fill.pk, "key": uuid4(), "decision": "it was the drain"})
    assert "Measure first" in page_of(client, technician)


def test_water_in_says_what_it_makes_of_the_bucket(client, technician):
    fill = in_use(litres="4.2")
    record_reading(fill=fill, by=technician, sg=Decimal("1.52"), u_sg=Decimal("0.002"))
    client.force_login(technician)
    said = {"fill": fill.pk, "key": uuid4(), "volume_l_0": "653", "volume_l_1": "mL"}
    page = text(client.post("/shelf/B02/water/", said, follow=True))
    # A2: 0.653 L into 4.2 L at 1.52 makes 4.853 L at 1.45
    assert "653 mL of water into B02: about 4.85 L now, by the last reading about SG 1.450" in page
    assert "Measure first" in page


def test_an_empty_bucket_says_so_and_offers_to_take_it_over(client, technician, member):
    pail("B07")
    assert "Nothing is in it" in page_of(client, technician, "B07")
    assert "Take it over" in page_of(client, technician, "B07")
    assert "Take it over" not in page_of(client, member, "B07")
    for act in ("stir", "used", "reading"):
        assert client.get(f"/shelf/B07/{act}/").status_code == 302


def test_taking_over_through_the_page_and_releasing(client, technician):
    pail("B07")
    client.force_login(technician)
    assert 'value="B07" selected' in client.get("/shelf/take-over/?bucket=B07").content.decode()
    said = {"key": uuid4(), "vessel": "B07", "glaze": "Blue", "depth_cm": "8,0", "sg": "1,46"}
    answer = client.post("/shelf/take-over/", {**said, "target_sg": "1.45"}, follow=True)
    assert answer.redirect_chain == [("/shelf/B07/", 303)]
    assert "history unknown" in text(answer)
    fill = answer.context["fill"]
    assert client.post("/shelf/B07/release/", {"fill": fill.pk, "key": uuid4()}).status_code == 303
    assert "Release into use" not in page_of(client, technician, "B07")


def test_what_is_in_a_bucket_of_unknown_history_is_called_unknown(client, member):
    found("B02", glaze="Blue")
    page = page_of(client, member)
    assert "What is in it is not known" in page
    assert "found on the shelf, history unknown" in page
