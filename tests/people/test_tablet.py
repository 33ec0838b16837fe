"""The shared tablet: the room looks, stirs and reports; for anything else somebody says who they are."""

import json
import re
import sys
from datetime import timedelta
from uuid import uuid4

import pytest
import time_machine
from django.contrib.auth import get_user
from django.contrib.sessions.models import Session
from django.core.files.uploadedfile import SimpleUploadedFile
from django.core.signals import got_request_exception
from django.db import connection
from django.test import Client
from django.test.utils import CaptureQueriesContext
from django.urls import reverse
from django.utils import timezone
from django.views.debug import ExceptionReporter

from batches.models import Batch
from buckets.models import Care, Fill, Report
from buckets.operations.reports import report
from studio.people import rights
from studio.people.asking import Told
from studio.people.models import Entry, Member
from studio.people.operations import members, passwords, tokens
from studio.people.operations.notices import tell
from studio.people.operations.pins import remove_pin
from tests import factories
from tests.factories import PASSWORD, person, the_room, with_pin

pytestmark = pytest.mark.django_db
PIN = "7308"
NAMES = re.compile(r'name="tablet-person" value="(\d+)">([^<]*)</button>')


def text(answer) -> str:
    return re.sub(r"\s+", " ", answer.content.decode())


def fields(answer) -> dict[str, str]:
    """What the form with the question sends on, as it stands in the page."""
    form = answer.content.decode().split('<form method="post"', 1)[1].split("</form>", 1)[0]
    hidden = re.findall(r'<input type="hidden" name="([^"]+)" value="([^"]*)">', form)
    return {name: value for name, value in hidden if name != "csrfmiddlewaretoken"}


def asks_who(answer) -> bool:
    return answer.status_code == 403 and "<h1>Who is it?</h1>" in text(answer)


def asks_pin_of(answer, member: Member) -> bool:
    return f"<h1>{member}</h1>" in text(answer) and 'name="tablet-pin"' in text(answer)


@pytest.fixture
def ngozi(db):
    return with_pin(person("Ngozi", "helper", signed_off=("wet mixing",)))


@pytest.fixture
def bram(db):
    return with_pin(factories.bram(), "4096")


@pytest.fixture
def fill(db):
    return factories.FillFactory(vessel=factories.VesselFactory(code="B05"))


@pytest.fixture
def tablet(db):
    """A browser signed in as the room with its password."""
    the_room()
    browser = Client()
    answer = browser.post(reverse("login"), {"username": "room", "password": PASSWORD})
    assert answer.status_code == 302
    return browser


def choose(tablet: Client, member: Member, pin: str = PIN, *, to: str = "/shelf/"):
    """Say who one is, ahead of an act."""
    address = f"{reverse('who')}?next={to}"
    return tablet.post(address, {"tablet-looks": "1", "tablet-person": member.pk, "tablet-pin": pin})


def water(fill: Fill, **more) -> dict[str, str]:
    return {"key": str(uuid4()), "fill": fill.pk, "volume_l_0": "0,3", "volume_l_1": "L", **more}


# --- what the room may alone --------------------------------------------------------------------------


def test_a_manager_makes_the_account_and_the_tablet_signs_in_with_it(client, manager, tablet):
    client.force_login(manager)
    form = {"key": str(uuid4()), "name": "the room", "username": "glaze.room"}
    form |= {"password": PASSWORD, "again": PASSWORD}
    assert client.post(reverse("add-room-account"), form).url == reverse("people")
    assert "glaze.room" in text(client.get(reverse("people")))
    other = Client()
    assert other.post(reverse("login"), {"username": "glaze.room", "password": PASSWORD}).status_code == 302
    assert get_user(other).role == "the room"
    assert PASSWORD not in json.dumps(Entry.objects.get(act="room account made").content)


@pytest.mark.parametrize(
    ("form", "field"),
    [
        ({"name": " "}, "name"),
        ({"name": "x" * 81}, "name"),
        ({"username": "r"}, "username"),
        ({"username": "glaze room"}, "username"),
        ({"username": "odile"}, "username"),
        ({"username": "x" * 41}, "username"),
        ({"username": ""}, "username"),
        ({"username": "glaze/room"}, "username"),
        ({"password": "short", "again": "short"}, "password"),
        ({"password": "1234567890", "again": "1234567890"}, "password"),
        ({"password": "password123", "again": "password123"}, "password"),
        ({"password": "", "again": ""}, "password"),
        ({"password": "glaze.room", "again": "glaze.room"}, "password"),
        ({"password": "x" * 201, "again": "x" * 201}, "password"),
        ({"again": "another-long-one"}, "again"),
    ],
)
def test_a_wrong_account_is_refused_beside_its_field(client, manager, form, field):
    client.force_login(manager)
    good = {"name": "the room", "username": "glaze.room", "password": PASSWORD, "again": PASSWORD}
    answer = client.post(reverse("add-room-account"), {"key": str(uuid4())} | good | form)
    assert answer.status_code == 422
    assert next(iter(answer.context["form"].errors)) == field
    assert not Member.objects.filter(role="the room").exists()


def test_the_tablet_stays_signed_in_for_a_year(tablet):
    year = timezone.now() + timedelta(days=364)
    assert Session.objects.get(pk=tablet.cookies["sessionid"].value).expire_date > year
    with time_machine.travel(year, tick=False):
        assert tablet.get("/shelf/").status_code == 200


def test_stirring_needs_no_name(tablet, fill, ngozi):
    form = {"key": str(uuid4()), "fill": fill.pk}
    assert tablet.post(reverse("stir", args=["B05"]), form).status_code == 303
    stirred = Care.objects.get(kind="stirred")
    assert (stirred.by.role, str(stirred.by)) == ("the room", "the room")


def test_reporting_needs_no_name_and_holds_at_once(tablet, fill):
    # edge case 49: reported by anyone, also without a name on the room's tablet
    form = {"key": str(uuid4()), "fill": fill.pk, "words": "blue specks in it"}
    assert tablet.post(reverse("report", args=["B05"]), form).status_code == 303
    assert Report.objects.get().by.role == "the room"
    assert Fill.objects.get(pk=fill.pk).held


def test_the_bucket_offers_everyday_acts_and_none_of_the_technicians(tablet, fill):
    page = text(tablet.get(reverse("bucket", args=["B05"])))
    for name in ("stir", "record-reading", "water-in", "log-use", "report"):
        assert reverse(name, args=["B05"]) in page
    for name in ("empty-fill", "hold-fill"):
        assert reverse(name, args=["B05"]) not in page
    assert "who is it?" in page


def test_the_room_holds_little(db):
    room = the_room()
    assert [right for right in rights.WORDS if room.holds(right)] == ["see", "stir"]
    assert not any(room.may(right) for right in ("make", "recipes", "store", "room", "people", "own"))


# --- who is it? ---------------------------------------------------------------------------------------


def test_a_page_that_needs_more_asks_for_a_name_then_a_pin_and_opens(tablet, fill, ngozi):
    address = reverse("water-in", args=["B05"])
    asked = tablet.get(address)
    assert asks_who(asked)
    assert NAMES.findall(asked.content.decode()) == [(str(ngozi.pk), "Ngozi")]
    pin = tablet.post(address, fields(asked) | {"tablet-person": ngozi.pk})
    assert asks_pin_of(pin, ngozi)
    opened = tablet.post(address, fields(pin) | {"tablet-pin": PIN})
    assert (opened.status_code, opened.url) == (302, address)
    page = tablet.get(address)
    assert page.status_code == 200
    assert page.context["user"] == ngozi


def test_what_was_typed_is_carried_through_and_done_once(tablet, fill, ngozi):
    address, form = reverse("water-in", args=["B05"]), water(fill, note='rinse & "brush" <wash>')
    asked = tablet.post(address, form)
    assert asks_who(asked)
    assert not Care.objects.exists()
    assert "What was typed is kept" in text(asked)
    pin = tablet.post(address, form | {"tablet-person": ngozi.pk})
    last = form | {"tablet-person": ngozi.pk, "tablet-pin": PIN}
    assert 'name="volume_l_0" value="0,3"' in text(pin)
    assert 'value="rinse &amp; &quot;brush&quot; &lt;wash&gt;"' in text(pin)
    answers = [tablet.post(address, last) for _ in range(2)]  # a second tap
    assert [answer.status_code for answer in answers] == [303, 303]
    poured = Care.objects.get()
    assert (poured.by, str(poured.volume_l)) == (ngozi, "0.300")


def test_a_wrong_field_is_shown_at_its_own_page_after_the_pin(tablet, fill, ngozi):
    address, form = reverse("water-in", args=["B05"]), water(fill, volume_l_0="a cup")
    answer = tablet.post(address, form | {"tablet-person": ngozi.pk, "tablet-pin": PIN})
    assert answer.status_code == 422
    assert 'value="a cup"' in text(answer)
    assert (PIN in text(answer), "tablet-pin" in text(answer)) == (False, False)


def test_the_words_after_the_question_mark_stay(tablet, ngozi):
    address = f"{reverse('log-use', args=['B05'])}?from=shelf"
    factories.FillFactory(vessel=factories.VesselFactory(code="B05"))
    assert f'action="{address}"' in text(tablet.get(address))
    answer = tablet.post(address, {"tablet-looks": "1", "tablet-person": ngozi.pk, "tablet-pin": PIN})
    assert answer.url == address


def test_a_picture_is_not_kept_and_that_is_said(tablet, fill, ngozi):
    address = reverse("water-in", args=["B05"])
    picture = SimpleUploadedFile("bucket.png", b"\x89PNG", content_type="image/png")
    asked = tablet.post(address, water(fill, photo=picture))
    assert asks_who(asked)
    assert "The picture is not kept" in text(asked)
    pin = tablet.post(address, fields(asked) | {"tablet-person": ngozi.pk})
    assert "The picture is not kept" in text(pin)


def test_the_list_holds_active_people_with_a_pin_and_never_chooses_one(tablet, ngozi, bram, manager):
    person("Wren")
    gone = with_pin(person("Marek"))
    members.leave(member=gone, by=manager)
    choose(tablet, ngozi)
    tablet.post(reverse("done"))
    page = tablet.get(reverse("who")).content.decode()
    assert [name for _, name in NAMES.findall(page)] == ["Bram", "Ngozi"]
    assert ("checked" in page, "selected" in page, "autofocus" in page) == (False, False, False)


def test_many_names_stand_under_their_letters(tablet, ngozi):
    for name in [
        "Örjan",
        "Olu",
        "ada",
        "Ben",
        "Cleo",
        "Dana",
        "Eun",
        "Fay",
        "Gil",
        "Hal",
        "Ida",
        "Jo",
        "Kim",
    ]:
        with_pin(person(name))
    page = text(tablet.get(reverse("who")))
    assert '<a href="#names-O">O</a>' in page
    under_o = page.split('id="names-O"')[1].split("</section>")[0]
    assert [name for _, name in NAMES.findall(under_o)] == ["Olu", "Örjan"]


def test_two_of_one_name_are_told_apart(tablet):
    for username in ("jo.a", "jo.b"):
        with_pin(factories.MemberFactory(name="Jo", username=username))
    page = text(tablet.get(reverse("who")))
    assert "(jo.a)" in page
    assert "(jo.b)" in page


def test_a_studio_without_a_pin_says_what_to_do(tablet):
    assert "Nobody has a PIN yet" in text(tablet.get(reverse("who")))


def test_the_pin_page_has_digit_keys_and_nothing_offers_to_keep_it(tablet, ngozi):
    answer = tablet.post(reverse("who"), {"tablet-looks": "1", "tablet-person": ngozi.pk})
    field = re.search(r'<input[^>]*name="tablet-pin"[^>]*>', text(answer)).group()
    for wanted in ('type="text"', 'inputmode="numeric"', 'autocomplete="off"'):
        assert wanted in field
    assert "value=" not in field
    assert "one-time-code" not in text(answer)
    assert "no-store" in answer.headers["Cache-Control"]


@pytest.mark.parametrize("number", ["", "0", "-1", "abc", "9" * 30, "1 OR 1=1", "٣"])
def test_a_number_that_is_nobodys_asks_for_the_name(tablet, ngozi, number):
    answer = tablet.post(reverse("who"), {"tablet-looks": "1", "tablet-person": number, "tablet-pin": PIN})
    assert answer.status_code in (403, 422)
    assert tablet.get(reverse("me")).status_code == 403


@pytest.mark.parametrize(
    "typed", ["", "730", "7308115", "pots", "73o8", "4096", "7309", "8037", "-7308", "7.308", "7308\0"]
)
def test_a_wrong_pin_opens_nothing_and_is_not_shown_again(tablet, fill, ngozi, bram, typed):
    address = reverse("water-in", args=["B05"])
    form = water(fill) | {"tablet-person": ngozi.pk, "tablet-pin": typed}
    answer = tablet.post(address, form)
    assert answer.status_code == 422
    assert asks_pin_of(answer, ngozi)
    assert 'class="error"' in text(answer)
    assert 'name="volume_l_0" value="0,3"' in text(answer)
    assert not Care.objects.exists()
    if typed:
        assert f'value="{typed}"' not in text(answer)


def test_five_wrong_ones_close_the_name_and_say_until_when(tablet, ngozi):
    answers = [choose(tablet, ngozi, "4091") for _ in range(5)]
    assert "closed until" in text(answers[-1])
    assert "closed until" in text(choose(tablet, ngozi))


def test_somebody_else_may_do_what_this_one_may_not(tablet, fill, ngozi):
    ilse = with_pin(person("Ilse"), "4096")
    address, form = reverse("water-in", args=["B05"]), water(fill)
    refused = tablet.post(address, form | {"tablet-person": ilse.pk, "tablet-pin": "4096"})
    assert asks_who(refused)
    assert "Ilse lacks the right to add water" in text(refused)
    assert fields(refused)["volume_l_0"] == "0,3"
    done = tablet.post(address, form | {"tablet-person": ngozi.pk, "tablet-pin": PIN})
    assert done.status_code == 303
    assert Care.objects.get().by == ngozi


def test_one_goes_back_from_the_pin_to_the_names(tablet, fill, ngozi):
    address, form = reverse("water-in", args=["B05"]), water(fill)
    answer = tablet.post(address, form | {"tablet-else": "1"})
    assert asks_who(answer)
    assert fields(answer)["key"] == form["key"]


# --- ten minutes --------------------------------------------------------------------------------------


def test_for_ten_minutes_the_tablet_acts_as_that_person(tablet, fill, ngozi):
    began = timezone.now()
    with time_machine.travel(began, tick=False):
        there = choose(tablet, ngozi, to="/shelf/?cone=6")
        assert tablet.get(there.url).url == "/shelf/?cone=6"
        page = text(tablet.get("/shelf/"))
        assert f"Ngozi, until {timezone.localtime(began + timedelta(minutes=10)):%H:%M}" in page
        assert ">done</button>" in page
    with time_machine.travel(began + timedelta(minutes=9, seconds=59), tick=False):
        assert tablet.post(reverse("water-in", args=["B05"]), water(fill)).status_code == 303
    with time_machine.travel(began + timedelta(minutes=10, seconds=1), tick=False):
        form = water(fill, volume_l_0="0,5")
        asked = tablet.post(reverse("water-in", args=["B05"]), form)
        assert asks_who(asked)
        assert fields(asked)["volume_l_0"] == "0,5"
    assert Care.objects.count() == 1


def test_acting_does_not_make_the_ten_minutes_longer(tablet, ngozi):
    began = timezone.now()
    with time_machine.travel(began, tick=False):
        choose(tablet, ngozi)
    with time_machine.travel(began + timedelta(minutes=6), tick=False):
        assert tablet.get(reverse("me")).status_code == 200
    with time_machine.travel(began + timedelta(minutes=11), tick=False):
        assert asks_who(tablet.get(reverse("me")))


def test_done_ends_it_at_once(tablet, ngozi):
    choose(tablet, ngozi)
    assert tablet.get(reverse("me")).status_code == 200
    assert tablet.post(reverse("done")).status_code == 303
    assert asks_who(tablet.get(reverse("me")))
    assert "Ngozi" not in text(tablet.get("/shelf/"))


def test_done_takes_a_post(tablet, ngozi):
    choose(tablet, ngozi)
    assert tablet.get(reverse("done")).status_code == 405


def test_stirs_and_readings_are_theirs_while_it_lasts(tablet, fill, ngozi):
    choose(tablet, ngozi)
    tablet.post(reverse("stir", args=["B05"]), {"key": str(uuid4()), "fill": fill.pk})
    assert Care.objects.get().by == ngozi
    assert Entry.objects.get(act="stirred").by == ngozi


def test_the_page_speaks_in_their_units(tablet, ngozi):
    Member.objects.filter(pk=ngozi.pk).update(units="us")
    choose(tablet, ngozi)
    assert tablet.get("/shelf/").context["units"] == "us"
    tablet.post(reverse("done"))
    assert tablet.get("/shelf/").context["units"] == "metric"


@pytest.mark.parametrize("what", ["removed", "changed", "left", "made a tablet"])
def test_a_pin_that_is_gone_ends_it(tablet, ngozi, manager, what):
    choose(tablet, ngozi)
    if what == "removed":
        remove_pin(member=ngozi, by=manager)
    elif what == "changed":
        with_pin(ngozi, "4096")
    elif what == "left":
        members.leave(member=ngozi, by=manager)
    else:
        Member.objects.filter(pk=ngozi.pk).update(role="the room")
    assert asks_who(tablet.get(reverse("me")))


def test_a_right_taken_away_meanwhile_is_gone(tablet, fill, ngozi):
    choose(tablet, ngozi)
    ngozi.sign_offs.update(withdrawn_at=timezone.now())
    assert "Ngozi lacks the right" in text(tablet.get(reverse("water-in", args=["B05"])))


def test_the_bench_says_whose_it_is_and_until_when(tablet, ngozi):
    number = factories.BatchFactory(state="weighing").number
    choose(tablet, ngozi)
    page = text(tablet.get(reverse("bench", args=[number])))
    assert "Ngozi, until" in page
    assert ">done</button>" in page


def test_a_tablet_is_told_nothing(ngozi):
    assert tell([the_room().pk, ngozi.pk], "B05 may be used again.") == 1


def test_another_name_takes_over_from_the_first(tablet, ngozi, bram):
    choose(tablet, ngozi)
    tablet.post(reverse("done"))
    choose(tablet, bram, "4096")
    assert tablet.get(reverse("me")).context["user"] == bram


def test_a_switch_without_done_is_only_for_once(tablet, fill, ngozi, bram):
    """Somebody else who answers for one act does not take the tablet from whoever works at it."""
    testing = factories.FillFactory(vessel=factories.VesselFactory(code="B06"), state="held")
    choose(tablet, ngozi)
    lift = {"key": str(uuid4()), "fill": testing.pk, "decision": "it was the light"}
    answer = tablet.post(
        reverse("lift-hold", args=["B06"]), lift | {"tablet-person": bram.pk, "tablet-pin": "4096"}
    )
    assert answer.status_code == 303
    assert Entry.objects.filter(by=bram).latest("id").about_id == testing.pk
    assert tablet.get(reverse("me")).context["user"] == ngozi


# --- each time ----------------------------------------------------------------------------------------


def each_time(name: str) -> tuple[str, dict[str, object]]:
    """An act that asks each time: its address and a good form."""
    if name == "approve-request":
        request = factories.RequestFactory(vessel=None)
        return reverse(name, args=[request.number]), {}
    if name == "approve-version":
        draft = factories.VersionFactory(name="Rockpool", approved=False, by=factories.tamsin())
        return reverse(name, args=[draft.recipe_id, draft.number]), {}
    if name == "release-lot":
        lot = factories.LotFactory(state="quarantine")
        return reverse(name, args=[lot.code]), {}
    if name == "lift-batch":
        batch = factories.BatchFactory(state="held")
        return reverse(name, args=[batch.number]), {"decision": "weighed again, it is right"}
    state = {"release-fill": "testing", "lift-hold": "held", "answer-report": "in use"}[name]
    fill = factories.FillFactory(vessel=factories.VesselFactory(code="B07"), state=state)
    if name == "answer-report":
        report(fill=fill, words="smells of eggs", by=None)
        row = Report.objects.get()
        return reverse(name, args=["B07", row.pk]), {"answer": "It was the gum.", "decision": "false alarm"}
    words = {"decision": "it was the light"} if name == "lift-hold" else {}
    return reverse(name, args=["B07"]), {"fill": fill.pk, **words}


EACH_TIME = ("approve-request", "approve-version", "release-lot", "lift-batch")
EACH_TIME += ("release-fill", "lift-hold", "answer-report")


@pytest.mark.parametrize("name", EACH_TIME)
def test_approve_release_and_lift_ask_for_the_pin_every_time(tablet, bram, name):
    address, said = each_time(name)
    form = {"key": str(uuid4()), **said}
    choose(tablet, bram, "4096")
    before = Entry.objects.count()
    asked = tablet.post(address, form)
    assert asks_pin_of(asked, bram)
    assert Entry.objects.count() == before
    answer = tablet.post(address, form | {"tablet-person": bram.pk, "tablet-pin": "4096"})
    assert answer.status_code == 303, text(answer)
    assert Entry.objects.count() > before
    assert Entry.objects.first().by == bram


@pytest.mark.parametrize("name", EACH_TIME)
def test_signed_in_on_ones_own_they_ask_for_no_pin(client, bram, name):
    address, said = each_time(name)
    client.force_login(bram)
    assert client.post(address, {"key": str(uuid4()), **said}).status_code == 303


def test_one_pin_is_good_for_one_approval(tablet, bram):
    first, second = (each_time("approve-request")[0] for _ in range(2))
    right = {"tablet-person": bram.pk, "tablet-pin": "4096"}
    assert tablet.post(first, {"key": str(uuid4()), **right}).status_code == 303
    assert asks_pin_of(tablet.post(second, {"key": str(uuid4())}), bram)
    assert Batch.objects.count() == 1


def test_whoever_gives_the_pin_for_an_act_holds_the_tablet_afterwards(tablet, bram):
    address, _ = each_time("approve-request")
    tablet.post(address, {"key": str(uuid4()), "tablet-person": bram.pk, "tablet-pin": "4096"})
    assert tablet.get(reverse("me")).context["user"] == bram


# --- not at the tablet --------------------------------------------------------------------------------


@pytest.mark.parametrize("name", ["set-pin", "change-password", "make-token", "invite", "add-room-account"])
def test_what_a_password_guards_does_not_open_by_a_pin(tablet, name):
    odile = with_pin(person("Odile", "manager"), "4096")
    choose(tablet, odile, "4096")
    for answer in (tablet.get(reverse(name)), tablet.post(reverse(name), {"current": PASSWORD})):
        assert answer.status_code == 403
        assert "sign in with your own password" in text(answer)
        assert PASSWORD not in text(answer)


def test_signing_the_tablet_out_takes_a_technicians_pin(tablet, ngozi, bram):
    out = reverse("logout")
    assert asks_who(tablet.post(out))
    refused = tablet.post(out, {"tablet-person": ngozi.pk, "tablet-pin": PIN})
    assert refused.status_code == 403
    assert "a technician signs it out" in text(refused)
    assert get_user(tablet).is_authenticated
    tablet.post(reverse("done"))
    assert tablet.post(out, {"tablet-person": bram.pk, "tablet-pin": "4096"}).url == reverse("login")
    assert not get_user(tablet).is_authenticated


def test_a_new_password_for_the_account_signs_the_tablet_out(tablet, manager):
    room = Member.objects.get(role="the room")
    code = passwords.allow_new_password(member=room, by=manager).code
    passwords.set_new_password(member=room, code=code, password="a-lid-for-every-pail")
    assert tablet.get("/shelf/").status_code == 302


# --- the account --------------------------------------------------------------------------------------


def test_an_account_of_a_tablet_takes_no_role_and_no_sign_off(client, manager):
    client.force_login(manager)
    room = the_room()
    change = {"key": str(uuid4()), "name": "Odd", "role": "manager"}
    answer = client.post(reverse("change-member", args=[room.pk]), change)
    assert answer.status_code == 422
    assert "Roles and sign-offs are for people" in text(answer)
    given = {"key": str(uuid4()), "kind": "weighing", "expires_on": "2099-01-01"}
    assert client.post(reverse("give-sign-off", args=[room.pk]), given).status_code == 422
    room.refresh_from_db()
    assert (room.role, room.sign_offs.count()) == ("the room", 0)


def test_nobody_becomes_a_tablet_and_nobody_is_invited_as_one(client, manager, member):
    client.force_login(manager)
    change = {"key": str(uuid4()), "name": "Ilse", "role": "the room"}
    assert client.post(reverse("change-member", args=[member.pk]), change).status_code == 422
    form = {"key": str(uuid4()), "name": "Ada", "role": "the room", "days": "7"}
    assert client.post(reverse("invite"), form).status_code == 422


def test_a_closed_account_signs_the_tablet_out_and_opens_again_as_a_tablet(tablet, manager):
    room = Member.objects.get(role="the room")
    members.leave(member=room, by=manager)
    assert tablet.get("/shelf/").status_code == 302
    members.come_back(member=room, by=manager)
    assert Member.objects.get(pk=room.pk).role == "the room"


def test_a_tablet_is_no_person_of_the_studio(client, manager, tablet):
    client.force_login(manager)
    page = client.get(reverse("people"))
    assert [row.name for row in page.context["page"]] == ["Odile"]
    listed = client.get(reverse("api-people")).json()
    assert [row["name"] for row in listed["results"]] == ["Odile"]


# --- programs -----------------------------------------------------------------------------------------


def test_the_api_is_never_for_the_room(tablet, fill, ngozi):
    asked = [tablet.get(reverse("api-fills")), tablet.get(reverse("api-me"))]
    choose(tablet, ngozi)
    asked += [tablet.get(reverse("api-fills")), tablet.get(reverse("api-me"))]
    stir = reverse("api-stir", args=[fill.pk])
    asked.append(tablet.post(stir, {}, "application/json", headers={"Idempotency-Key": str(uuid4())}))
    assert [answer.status_code for answer in asked] == [403] * 5
    assert not Care.objects.exists()


def test_a_persons_token_works_from_the_tablet_too(tablet, member):
    secret = tokens.make_token(name="list", by=member).secret
    answer = tablet.get(reverse("api-me"), headers={"Authorization": f"Bearer {secret}"})
    assert answer.json()["name"] == "Ilse"


# --- where a PIN must not be --------------------------------------------------------------------------


def test_the_session_gets_a_new_key_and_the_old_one_acts_as_nobody(tablet, fill, ngozi):
    before = tablet.cookies["sessionid"].value
    choose(tablet, ngozi)
    assert tablet.cookies["sessionid"].value != before
    thief = Client()
    thief.cookies["sessionid"] = before
    assert asks_who(thief.get(reverse("me")))
    assert Session.objects.get(pk=before).expire_date < timezone.now() + timedelta(hours=1, minutes=1)


def test_a_second_tap_with_the_old_key_finds_its_first_answer(tablet, fill, ngozi):
    before = tablet.cookies["sessionid"].value
    form = water(fill) | {"tablet-person": ngozi.pk, "tablet-pin": PIN}
    tablet.post(reverse("water-in", args=["B05"]), form)
    again = Client()
    again.cookies["sessionid"] = before
    assert again.post(reverse("water-in", args=["B05"]), form).status_code == 303
    assert Care.objects.count() == 1
    assert again.get(reverse("me")).context["user"] == ngozi


def test_no_pin_is_in_sessions_journal_rows_pages_or_addresses(tablet, fill, ngozi, caplog):
    form = water(fill) | {"tablet-person": ngozi.pk, "tablet-pin": PIN}
    with caplog.at_level("DEBUG"):
        answer = tablet.post(reverse("water-in", args=["B05"]), form)
        page = tablet.get(answer.url)
    assert PIN not in answer.url
    assert f'value="{PIN}"' not in text(page)
    for session in Session.objects.all():
        decoded = session.get_decoded()
        assert PIN not in re.sub(r'"(until|_session_expiry|mark)": "[^"]*"', "", json.dumps(decoded))
    said = [str(value) for entry in Entry.objects.all() for value in entry.content.values()]
    assert not [value for value in said if value == PIN or f"pin={PIN}" in value]
    assert not any(f"'{PIN}'" in record.getMessage() for record in caplog.records)
    assert set(tablet.cookies) <= {"sessionid", "csrftoken", "messages"}
    assert not any(cookie.value == PIN for cookie in tablet.cookies.values())


def test_a_pin_sent_by_another_site_opens_nothing(fill, ngozi):
    strict = Client(enforce_csrf_checks=True)
    strict.force_login(the_room())
    form = water(fill) | {"tablet-person": ngozi.pk, "tablet-pin": PIN}
    assert strict.post(reverse("water-in", args=["B05"]), form).status_code == 403
    ngozi.refresh_from_db()
    assert (Care.objects.count(), ngozi.pin_misses, asks_who(strict.get(reverse("me")))) == (0, 0, True)


def test_no_view_gets_to_see_the_pin(rf):
    sent = {"key": "k", "words": ["a", "b"], "tablet-person": "7", "tablet-pin": PIN, "tablet-looks": "1"}
    request = rf.post("/", sent)
    told = Told.taken_from(request)
    assert dict(request.POST.lists()) == {"key": ["k"], "words": ["a", "b"]}
    assert (told.pin, told.number, told.looks) == (PIN, 7, True)
    assert PIN not in repr(told)


def test_no_pin_is_in_what_is_said_of_a_fault(tablet, fill, ngozi, monkeypatch):
    """Neither the page that a person gets, nor the long report that a server may send to its keeper."""
    reports, pin = [], str(418_000 + 907)  # the report quotes lines of this file, too

    def broken(*_):
        raise RuntimeError("a fault of ours")

    def keep(request, **_):
        reports.append(ExceptionReporter(request, *sys.exc_info()).get_traceback_html())

    monkeypatch.setattr("studio.people.operations.pins._count_a_try", broken)
    got_request_exception.connect(keep)
    tablet.raise_request_exception = False
    form = water(fill) | {"tablet-person": ngozi.pk, "tablet-pin": pin}
    answer = tablet.post(reverse("water-in", args=["B05"]), form)
    got_request_exception.disconnect(keep)
    assert (answer.status_code, len(reports)) == (500, 1)
    assert "a fault of ours" in reports[0]
    assert (pin in reports[0], pin in text(answer)) == (False, False)


# --- other sessions -----------------------------------------------------------------------------------


def test_other_sessions_are_asked_for_nothing(client, fill, ngozi, member):
    client.force_login(ngozi)
    assert client.post(reverse("water-in", args=["B05"]), water(fill)).status_code == 303
    client.force_login(member)
    refused = client.get(reverse("water-in", args=["B05"]))
    assert (refused.status_code, "Who is it?" in text(refused)) == (403, False)


def test_a_pin_sent_to_an_ordinary_session_changes_nobody(client, fill, ngozi, bram):
    client.force_login(bram)
    form = water(fill) | {"tablet-person": ngozi.pk, "tablet-pin": PIN}
    client.post(reverse("water-in", args=["B05"]), form)
    assert Care.objects.get().by == bram
    assert get_user(client) == bram


def test_a_page_on_the_tablet_costs_one_look_more_at_most(tablet, fill, ngozi, client):
    client.force_login(ngozi)
    with CaptureQueriesContext(connection) as own:
        client.get("/shelf/")
    choose(tablet, ngozi)
    with CaptureQueriesContext(connection) as lent:
        tablet.get("/shelf/")
    assert len(lent) <= len(own) + 1
