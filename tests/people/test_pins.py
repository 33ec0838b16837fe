"""PINs: set and removed by their owner, kept as digests, refused when easy, closed when guessed at."""

import json
import re
from datetime import timedelta
from uuid import uuid4

import pytest
import time_machine
from django.contrib.auth.hashers import identify_hasher
from django.test import override_settings
from django.urls import reverse
from django.utils import timezone

from studio import settings as house
from studio.errors import NotAllowed, Refused
from studio.people import pins
from studio.people.models import Entry, Member, Notice
from studio.people.operations.members import leave
from studio.people.operations.pins import MOST_MISSES, remove_pin, set_pin, try_pin
from tests.factories import PASSWORD, person, the_room, with_pin

pytestmark = pytest.mark.django_db
GOOD = "7308"


def sent(client, **form):
    told = {"key": str(uuid4()), "current": PASSWORD, "pin": GOOD, "again": GOOD}
    return client.post(reverse("set-pin"), told | form)


def refused(member, pin) -> str:
    with pytest.raises(Refused) as refusal:
        try_pin(number=member.pk, pin=pin)
    return refusal.value.sentence


# --- setting one ----------------------------------------------------------------------------------------


def test_a_person_sets_their_own_pin_with_their_password(client, member):
    client.force_login(member)
    assert sent(client).url == reverse("me")
    assert try_pin(number=member.pk, pin=GOOD) == member


def test_a_pin_is_kept_as_a_digest_made_like_those_of_passwords(member):
    with override_settings(PASSWORD_HASHERS=house.PASSWORD_HASHERS):
        assert identify_hasher(pins.kept(GOOD)).algorithm == "argon2"
        assert pins.kept(GOOD) != pins.kept(GOOD)
    assert GOOD not in with_pin(member).pin


def test_a_pin_and_a_password_are_in_no_journal(client, member):
    client.force_login(member)
    sent(client)
    entry = Entry.objects.get(act="PIN set")
    said = json.dumps(entry.content)
    assert (GOOD in said, PASSWORD in said) == (False, False)
    assert entry.by == member


@pytest.mark.parametrize(
    ("form", "field"),
    [
        ({"current": ""}, "current"),
        ({"current": "not-the-password"}, "current"),
        ({"current": GOOD}, "current"),
        ({"current": PASSWORD.upper()}, "current"),
        ({"current": f"{PASSWORD} "}, "current"),
        ({"current": "x" * 300}, "current"),
        ({"pin": "", "again": ""}, "pin"),
        ({"pin": "730", "again": "730"}, "pin"),
        ({"pin": "7308115", "again": "7308115"}, "pin"),
        ({"pin": "73a8", "again": "73a8"}, "pin"),
        ({"pin": "-730", "again": "-730"}, "pin"),
        ({"pin": "73.08", "again": "73.08"}, "pin"),
        ({"pin": "73²8", "again": "73²8"}, "pin"),
        ({"pin": "1234", "again": "1234"}, "pin"),
        ({"pin": "9" * 60, "again": "9" * 60}, "pin"),
        ({"again": ""}, "again"),
        ({"again": "7309"}, "again"),
        ({"again": "73 80"}, "again"),
        ({"again": "seven"}, "again"),
        ({"again": "8037"}, "again"),
        ({"again": "7" * 60}, "again"),
        ({"key": "none"}, "key"),
    ],
)
def test_what_is_no_pin_or_no_password_is_refused_beside_its_field(client, member, form, field):
    client.force_login(member)
    answer = sent(client, **form)
    assert answer.status_code == 422
    assert next(iter(answer.context["form"].errors)) == field
    member.refresh_from_db()
    assert (member.pin, Entry.objects.count()) == ("", 0)
    assert all(secret not in answer.content.decode() for secret in (PASSWORD, GOOD))


@pytest.mark.parametrize("typed", ["7308", " 7308 ", "73 08", "٧٣٠٨", "７３０８", "७३०८", "7\u202f308"])
def test_digits_of_any_script_and_gaps_are_read(member, typed):
    # Arabic-Indic, full-width and Devanagari digits: a keyboard set to them types the same number.
    assert pins.digits_of(typed) == GOOD
    set_pin(current=PASSWORD, pin=typed, by=member)
    assert try_pin(number=member.pk, pin=GOOD) == member


@pytest.mark.parametrize(
    "easy",
    [
        *("0000", "1111", "999999", "1234", "4321", "6789", "7890", "123456", "987654", "2468", "8642"),
        *("1212", "123123", "4747", "1221", "54345", "2580", "0852", "147258", "159753"),
    ],
)
def test_what_is_guessed_first_is_refused(easy):
    with pytest.raises(Refused) as refusal:
        pins.refuse_easy(easy)
    assert refusal.value.sentence == pins.EASY
    assert easy not in refusal.value.sentence


@pytest.mark.parametrize(
    "day", ["1987", "2014", "2903", "0329", "3112", "1231", "2902", "290387", "032987", "870329"]
)
def test_what_reads_as_a_birthday_is_refused(day):
    with pytest.raises(Refused) as refusal:
        pins.refuse_easy(day)
    assert refusal.value.sentence == pins.A_DAY


@pytest.mark.parametrize("fine", ["7308", "4096", "3002", "6031", "73081", "739615", "418907", "1300"])
def test_what_is_neither_easy_nor_a_day_is_taken(fine):
    assert pins.refuse_easy(fine) is None


def test_no_browser_takes_it_for_a_password_to_keep(client, member):
    client.force_login(member)
    page = client.get(reverse("set-pin")).content.decode()
    inputs = {name: re.search(rf'<input[^>]*name="{name}"[^>]*>', page).group() for name in ("pin", "again")}
    for tag in inputs.values():
        assert 'type="text"' in tag
        assert 'autocomplete="off"' in tag
        assert 'inputmode="numeric"' in tag


def test_two_people_may_have_the_same_pin_and_neither_is_told(client, member, technician):
    with_pin(technician)
    client.force_login(member)
    assert sent(client).status_code == 303
    assert try_pin(number=technician.pk, pin=GOOD) == technician
    assert try_pin(number=member.pk, pin=GOOD) == member


def test_the_same_form_sent_twice_sets_it_once(client, member):
    client.force_login(member)
    key = str(uuid4())
    assert [sent(client, key=key).status_code for _ in range(2)] == [303, 303]
    assert Entry.objects.filter(act="PIN set").count() == 1


def test_changing_it_ends_the_one_before(member):
    with_pin(member, "7308")
    with_pin(member, "4096")
    assert refused(member, "7308")
    assert try_pin(number=member.pk, pin="4096") == member


def test_a_tablet_has_no_pin():
    with pytest.raises(NotAllowed):
        set_pin(current=PASSWORD, pin=GOOD, by=the_room())


# --- removing one ---------------------------------------------------------------------------------------


def test_one_removes_ones_own(client, member):
    client.force_login(with_pin(member))
    assert client.post(reverse("remove-own-pin"), {"key": str(uuid4())}).url == reverse("me")
    assert refused(member, GOOD)


@pytest.mark.parametrize("who", ["technician", "manager"])
def test_a_technician_removes_somebody_elses_and_cannot_set_it(client, member, request, who):
    with_pin(member)
    client.force_login(request.getfixturevalue(who))
    page = client.get(reverse("people")).content.decode()
    assert reverse("remove-pin", args=[member.pk]) in page
    assert client.post(reverse("remove-pin", args=[member.pk]), {"key": str(uuid4())}).status_code == 303
    assert Member.objects.get(pk=member.pk).pin == ""


def test_a_member_removes_nobody_elses(client, member, technician):
    with_pin(technician)
    client.force_login(member)
    assert client.post(reverse("remove-pin", args=[technician.pk]), {"key": str(uuid4())}).status_code == 403
    with pytest.raises(NotAllowed):
        remove_pin(member=technician, by=member)
    assert try_pin(number=technician.pk, pin=GOOD) == technician


def test_removing_what_is_not_there_is_said(member):
    with pytest.raises(Refused, match="Ilse has no PIN"):
        remove_pin(member=member, by=member)


def test_no_page_shows_a_pin_or_its_digest(client, member, manager):
    digest = with_pin(member).pin
    for who, names in ((member, ["me", "people"]), (manager, ["people"])):
        client.force_login(who)
        for name in names:
            page = client.get(reverse(name)).content.decode()
            assert (GOOD in page, digest in page) == (False, False)
    client.force_login(manager)
    assert digest not in client.get(reverse("person", args=[member.pk])).content.decode()


# --- guessing -------------------------------------------------------------------------------------------


def test_five_wrong_ones_close_it_for_a_quarter_of_an_hour(member):
    with_pin(member)
    began = timezone.now()
    with time_machine.travel(began, tick=False):
        said = [refused(member, f"40{n}9") for n in range(MOST_MISSES)]
        assert said[:4] == ["That is not right. Nothing was done."] * 4
        until = timezone.localtime(began + timedelta(minutes=15))
        assert f"closed until {until:%H:%M}" in said[4]
        assert "password works" in said[4]
        assert refused(member, GOOD) == said[4]
    with time_machine.travel(began + timedelta(minutes=14, seconds=59), tick=False):
        assert refused(member, GOOD) == said[4]
    with time_machine.travel(began + timedelta(minutes=15, seconds=1), tick=False):
        assert try_pin(number=member.pk, pin=GOOD) == member


def test_trying_on_while_closed_does_not_make_it_longer(member):
    with_pin(member)
    began = timezone.now()
    with time_machine.travel(began, tick=False):
        [refused(member, "4091") for _ in range(5)]
    with time_machine.travel(began + timedelta(minutes=10), tick=False):
        [refused(member, "4091") for _ in range(7)]
    with time_machine.travel(began + timedelta(minutes=15, seconds=1), tick=False):
        assert [refused(member, "4091") for _ in range(4)] == ["That is not right. Nothing was done."] * 4
        assert try_pin(number=member.pk, pin=GOOD) == member


def test_a_right_one_begins_the_count_anew(member):
    with_pin(member)
    for _ in range(3):
        [refused(member, "4091") for _ in range(4)]
        assert try_pin(number=member.pk, pin=GOOD) == member


def test_what_can_be_nobodys_pin_counts_as_no_try(member):
    with_pin(member)
    for typed in ["", "12", "123", "1234567", "abcd", "12a4", "７", "x" * 5000]:
        assert refused(member, typed) == pins.SHAPE
    member.refresh_from_db()
    assert member.pin_misses == 0


def test_the_count_is_for_one_person(member, technician):
    with_pin(member)
    with_pin(technician, "4096")
    [refused(member, "4091") for _ in range(5)]
    assert try_pin(number=technician.pk, pin="4096") == technician


def test_somebody_elses_pin_is_wrong(member, technician):
    with_pin(member)
    with_pin(technician, "4096")
    assert refused(member, "4096") == "That is not right. Nothing was done."


def test_nobody_learns_whether_a_name_has_a_pin(member, manager):
    gone = with_pin(person("Marek"))
    leave(member=gone, by=manager)
    without, tablet = person("Wren"), the_room()
    with_pin(member)

    def said(row):
        return [refused(row, "4091").replace(row.name, "…") for _ in range(6)]

    began = timezone.now()
    with time_machine.travel(began, tick=False):
        answers = [said(row) for row in (member, without, gone, tablet)]
    assert answers == [answers[0]] * 4
    nobody = Member(pk=10**9, name="Nobody")
    assert refused(nobody, "4091") == answers[0][0]


@pytest.mark.parametrize("case", ["no PIN", "nobody"])
def test_a_digest_is_made_even_where_there_is_none_to_compare(member, monkeypatch, case):
    made = []
    monkeypatch.setattr(pins, "make_password", made.append)
    assert not pins.fits("4091", member if case == "no PIN" else None)
    assert made == ["4091"]


def test_a_closed_pin_leaves_the_password_alone(client, member, settings):
    settings.AXES_ENABLED = True
    with_pin(member)
    [refused(member, "4091") for _ in range(6)]
    assert client.post(reverse("login"), {"username": "ilse", "password": PASSWORD}).status_code == 302


def test_the_password_opens_a_closed_one_by_setting_it_anew(member):
    with_pin(member)
    [refused(member, "4091") for _ in range(6)]
    with_pin(member, "4096")
    assert try_pin(number=member.pk, pin="4096") == member


def test_the_person_is_told_once_that_somebody_guessed(member):
    with_pin(member)
    [refused(member, "4091") for _ in range(9)]
    notice = Notice.objects.get()
    assert notice.to == member
    assert "5 wrong PINs" in notice.words
    assert "4091" not in notice.words
    [refused(person("Wren"), "4091") for _ in range(6)]
    assert Notice.objects.count() == 1


def test_somebody_who_left_is_not_let_in(member, manager):
    with_pin(member)
    leave(member=member, by=manager)
    assert refused(member, GOOD) == "That is not right. Nothing was done."


def test_no_pin_is_in_the_logs(client, member, caplog):
    with_pin(member)
    with caplog.at_level("DEBUG"):
        refused(member, "4091")
        try_pin(number=member.pk, pin=GOOD)
    assert not [r for r in caplog.records if "4091" in r.getMessage() or GOOD in r.getMessage()]
