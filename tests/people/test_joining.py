"""Coming in: the first manager, links, joining, passwords, and who may make a link."""

import re
from datetime import timedelta
from uuid import uuid4

import pytest
import time_machine
import zxingcpp
from django.contrib.auth import get_user
from django.urls import reverse
from django.utils import timezone
from PIL import Image

from studio import first_code
from studio.errors import NotAllowed, Refused
from studio.people.models import Entry, Invitation, Member
from studio.people.operations import joining, passwords
from tests.factories import PASSWORD, person
from tests.people.test_acts import at_once

pytestmark = pytest.mark.django_db


@pytest.fixture
def code():
    yield first_code.code()
    first_code.spend()


def said(**other):
    both = other.pop("password", PASSWORD)
    return {
        "key": str(uuid4()),
        "name": "Odile",
        "username": "odile",
        "password": both,
        "again": both,
        **other,
    }


def text(answer) -> str:
    return re.sub(r"\s+", " ", answer.content.decode())


def link_in(answer) -> str:
    return re.search(r"readonly>http://127\.0\.0\.1:8000(/people/[^<]+)<", text(answer))[1]


# --- the first manager --------------------------------------------------------------------------------


def test_the_first_manager_founds_the_studio_and_is_in_it(client, code, django_capture_on_commit_callbacks):
    page = client.get(f"{reverse('found-studio')}?code={code}")
    assert code in text(page)
    with django_capture_on_commit_callbacks(execute=True):
        answer = client.post(reverse("found-studio"), said(code=code))
    assert (answer.status_code, answer.url) == (303, "/")
    odile = Member.objects.get()
    assert (odile.name, odile.username, odile.role) == ("Odile", "odile", "manager")
    assert get_user(client) == odile
    assert not first_code.matches(code)
    assert PASSWORD not in str(Entry.objects.values_list("content", flat=True))
    assert code not in str(Entry.objects.values_list("content", flat=True))


def test_without_the_code_nobody_becomes_manager(client, code):
    assert client.get(reverse("found-studio")).status_code == 410
    answer = client.post(reverse("found-studio"), said(code="a guess"))
    assert answer.status_code == 422
    assert "opens with the link that the studio printed" in text(answer)
    assert Member.objects.count() == 0
    assert Entry.objects.count() == 0


def test_a_studio_with_people_has_no_first_manager_any_more(client, code, manager):
    assert client.get(f"{reverse('found-studio')}?code={code}").url == reverse("login")
    with pytest.raises(Refused, match="has its first manager already"):
        joining.found_studio(code=code, name="Mallory", username="mallory", password=PASSWORD)
    assert Member.objects.count() == 1


@pytest.mark.django_db(transaction=True)
def test_two_founders_at_once_make_one_manager(code):
    def found(name):
        return joining.found_studio(code=code, name=name, username=name.lower(), password=PASSWORD)

    answers = at_once(lambda: found("Odile"), lambda: found("Bram"))
    assert sorted(type(a).__name__ for a in answers) == ["Member", "Refused"]
    assert Member.objects.count() == 1


# --- invitations --------------------------------------------------------------------------------------


def invite(client, **other):
    form = {"key": str(uuid4()), "name": "Ilse", "role": "member", "days": "7", **other}
    return client.post(reverse("invite"), form)


def test_a_link_is_shown_once_and_only_its_digest_is_kept(client, manager):
    client.force_login(manager)
    key = str(uuid4())
    answer = invite(client, key=key)
    path = link_in(answer)
    assert "<svg" in text(answer)
    assert "no-store" in answer.headers["Cache-Control"]
    secret = path.split("/")[-2]
    invitation = Invitation.objects.get()
    assert secret not in str(Invitation.objects.values_list())
    assert secret not in str(Entry.objects.values_list("content", flat=True))
    assert (invitation.name, invitation.role, invitation.by) == ("Ilse", "member", manager)
    again = invite(client, key=key)
    assert "was made and shown before" in text(again)
    assert secret not in text(again)
    assert Invitation.objects.count() == 1


def test_the_qr_code_holds_the_link(client, manager):
    client.force_login(manager)
    answer = invite(client)
    drawing = re.search(r'<svg viewBox="0 0 (\d+) \d+" class="qr">.*?</svg>', text(answer))
    squares = dark_squares(re.search(r'stroke="#000" d="([^"]+)"', drawing[0])[1], int(drawing[1]))
    large = squares.resize((squares.width * 5,) * 2, Image.Resampling.NEAREST)
    # Only QR codes: among random squares the reader finds a striped code of a few digits now and then.
    read = zxingcpp.read_barcodes(large, formats=zxingcpp.BarcodeFormat.QRCode)
    assert [code.text for code in read] == ["http://127.0.0.1:8000" + link_in(answer)]


def dark_squares(path: str, size: int) -> Image.Image:
    """The drawing's strokes (rows of squares: M, h and m only) as a picture."""
    picture, x, y = Image.new("L", (size, size), 255), 0, 0.0
    for letter, numbers in re.findall(r"([Mmh])([-\d. ]+)", path):
        first, *rest = map(float, numbers.split())
        if letter == "h":
            for step in range(int(first)):
                picture.putpixel((x + step, int(y)), 0)
        x = int(first) + (x if letter != "M" else 0)
        y = rest[0] + (y if letter == "m" else 0) if rest else y
    return picture


def test_somebody_joins_by_a_link_in_its_role(client, manager):
    client.force_login(manager)
    path = link_in(invite(client, role="helper"))
    client.logout()
    assert "Odile invites you as a helper" in text(client.get(path))
    answer = client.post(path, said(name="Ilse", username="Ilse.K"))
    assert (answer.status_code, answer.url) == (303, "/")
    ilse = Member.objects.get(username="ilse.k")
    assert (ilse.name, ilse.role) == ("Ilse", "helper")
    assert get_user(client) == ilse
    assert Invitation.objects.get().used_by == ilse


def test_a_link_works_once(client, manager):
    invitation = joining.invite(name="Ilse", role="member", days=7, by=manager)
    path = reverse("join", args=[invitation.code])
    client.post(path, said(username="ilse"))
    client.logout()
    assert client.get(path).status_code == 410
    answer = client.post(path, said(username="another"))
    assert answer.status_code == 422
    assert "works once" in text(answer)
    assert not Member.objects.filter(username="another").exists()


def test_repeating_the_post_makes_no_second_person_and_lets_nobody_in(client, manager):
    invitation = joining.invite(name="Ilse", role="member", days=7, by=manager)
    path, form = reverse("join", args=[invitation.code]), said(username="ilse")
    client.post(path, form)
    client.logout()
    # the same key with another password: it is known from the journal, so it must open nothing
    answer = client.post(path, {**form, "password": "guessed-and-wrong", "again": "guessed-and-wrong"})
    assert answer.url == reverse("login")
    assert not get_user(client).is_authenticated
    assert Member.objects.filter(username="ilse").count() == 1


def test_a_link_runs_out(client, manager):
    invitation = joining.invite(name="Ilse", role="member", days=2, by=manager)
    path = reverse("join", args=[invitation.code])
    with time_machine.travel(timezone.now() + timedelta(days=1, hours=23), tick=False):
        assert client.get(path).status_code == 200
    with time_machine.travel(timezone.now() + timedelta(days=2), tick=False):
        assert client.get(path).status_code == 410
        assert "has run out" in text(client.post(path, said(username="ilse")))
    assert Member.objects.count() == 1


def test_a_withdrawn_link_opens_nothing(client, manager):
    invitation = joining.invite(name="Ilse", role="member", days=7, by=manager)
    client.force_login(manager)
    client.post(reverse("withdraw-invitation", args=[invitation.pk]), {"key": str(uuid4())})
    client.logout()
    assert "was withdrawn" in text(client.get(reverse("join", args=[invitation.code])))
    with pytest.raises(Refused, match="was withdrawn"):
        joining.join(code=invitation.code, name="Ilse", username="ilse", password=PASSWORD)


def test_a_used_link_cannot_be_withdrawn(manager):
    invitation = joining.invite(name="Ilse", role="member", days=7, by=manager)
    joining.join(code=invitation.code, name="Ilse", username="ilse", password=PASSWORD)
    with pytest.raises(Refused, match="Ilse has joined by this link already"):
        joining.withdraw_invitation(invitation=invitation, by=manager)


@pytest.mark.django_db(transaction=True)
def test_two_people_with_one_link_make_one_member():
    invitation = joining.invite(name="Ilse", role="member", days=7, by=person("Odile", "manager"))

    def join(name):
        return joining.join(code=invitation.code, name=name, username=name.lower(), password=PASSWORD)

    answers = at_once(lambda: join("Ilse"), lambda: join("Wren"))
    assert sorted(type(a).__name__ for a in answers) == ["LinkClosed", "Member"]
    assert Member.objects.count() == 2


@pytest.mark.django_db(transaction=True)
def test_two_people_choosing_one_name_at_once_are_told_apart():
    odile = person("Odile", "manager")
    codes = [joining.invite(name="Ilse", role="member", days=7, by=odile).code for _ in range(2)]
    calls = [lambda c=c: joining.join(code=c, name="Ilse", username="ilse", password=PASSWORD) for c in codes]
    assert sorted(type(a).__name__ for a in at_once(*calls)) == ["Member", "NameTaken"]


def test_a_signed_in_person_does_not_join_again(client, manager, member):
    invitation = joining.invite(name="Ilse", role="manager", days=7, by=manager)
    client.force_login(member)
    path = reverse("join", args=[invitation.code])
    assert "sign out first" in text(client.get(path))
    client.post(path, said(username="second"))
    assert Member.objects.count() == 2
    assert Invitation.objects.get().used_at is None


@pytest.mark.parametrize(
    ("field", "typed", "sentence"),
    [
        ("name", "", "Nothing is typed here yet."),
        ("name", "x" * 81, "At most 80 letters; these are 81."),
        ("username", "two words", "without a gap"),
        ("username", "<b>ilse</b>", "without a gap"),
        ("username", "i", "Two to forty letters"),
        ("username", "ODILE", "Somebody already signs in as “odile”"),
        ("password", "short", "at least 10 characters"),
        ("password", "password123", "too common"),
        ("password", "83749583745982", "entirely numeric"),
        ("password", "ilse-the-potter", "too similar to the username"),
        ("again", "something-else", "are not the same"),
        ("key", "", "lost its key"),
    ],
)
def test_wrong_input_is_said_beside_its_field_and_writes_nothing(client, manager, field, typed, sentence):
    invitation = joining.invite(name="Ilse", role="member", days=7, by=manager)
    before = Entry.objects.count()
    form = said(name="Ilse", username="ilse-the-potter" if "ilse" in typed else "ilse.k")
    form |= {"password": typed, "again": typed} if field == "password" else {field: typed}
    answer = client.post(reverse("join", args=[invitation.code]), form)
    assert answer.status_code == 422
    assert sentence in " ".join(answer.context["form"].errors[field])
    assert Member.objects.count() == 1
    assert Entry.objects.count() == before
    if field != "name":
        assert 'value="Ilse"' in text(answer)


@pytest.mark.parametrize("days", ["0", "-1", "61", "1.5", "many", "", "9" * 5000])
def test_a_link_works_for_a_sensible_number_of_days(client, manager, days):
    client.force_login(manager)
    answer = invite(client, days=days)
    assert answer.status_code == 422
    assert answer.context["form"].errors["days"]
    assert Invitation.objects.count() == 0


def test_only_a_manager_invites(technician, manager):
    with pytest.raises(NotAllowed, match="to invite people"):
        joining.invite(name="Ilse", role="member", days=7, by=technician)
    invitation = joining.invite(name="Ilse", role="member", days=7, by=manager)
    with pytest.raises(NotAllowed):
        joining.withdraw_invitation(invitation=invitation, by=technician)


# --- passwords ----------------------------------------------------------------------------------------


def test_a_password_is_changed_by_who_knows_it_and_other_sessions_end(client, client_factory, member):
    other = client_factory()
    client.force_login(member)
    other.force_login(member)
    new = "a-lid-for-every-pail"
    form = {"key": str(uuid4()), "current": PASSWORD, "password": new, "again": new}
    answer = client.post(reverse("change-password"), form)
    assert answer.url == reverse("me")
    member.refresh_from_db()
    assert member.check_password(new)
    assert client.get(reverse("me")).status_code == 200
    assert other.get(reverse("me")).status_code == 302
    assert new not in str(Entry.objects.values_list("content", flat=True))


@pytest.mark.parametrize(
    ("field", "form"),
    [
        ("current", {"current": "wrong"}),
        ("password", {"password": "short", "again": "short"}),
        ("again", {"again": "another-long-one"}),
    ],
)
def test_a_password_stays_when_something_is_wrong(client, member, field, form):
    client.force_login(member)
    good = {"key": str(uuid4()), "current": PASSWORD, "password": "a-new-long-one", "again": "a-new-long-one"}
    answer = client.post(reverse("change-password"), {**good, **form})
    assert answer.status_code == 422
    assert answer.context["form"].errors[field]
    member.refresh_from_db()
    assert member.check_password(PASSWORD)
    assert "password changed" not in Entry.objects.values_list("act", flat=True)


def test_a_manager_makes_a_link_for_a_forgotten_password(client, manager, member):
    client.force_login(manager)
    path = link_in(client.post(reverse("allow-new-password", args=[member.pk]), {"key": str(uuid4())}))
    client.logout()
    assert "You sign in as <b>ilse</b>" in text(client.get(path))
    new = "a-lid-for-every-pail"
    form = {"key": str(uuid4()), "password": new, "again": new}
    assert client.post(path, form).url == reverse("login")
    member.refresh_from_db()
    assert member.check_password(new)
    assert client.get(path).status_code == 410
    again = client.post(path, {**form, "key": str(uuid4())})
    assert again.status_code == 422
    assert list(Entry.objects.order_by("id").values_list("act", flat=True)) == [
        "link for a new password made",
        "new password set",
    ]


def test_such_a_link_is_for_one_person_and_three_days(client, manager, member, helper):
    code = passwords.allow_new_password(member=member, by=manager).code
    assert client.get(reverse("set-new-password", args=[helper.pk, code])).status_code == 410
    assert client.get(reverse("set-new-password", args=[99999, code])).status_code == 410
    with time_machine.travel(timezone.now() + timedelta(days=3, seconds=2), tick=False):
        assert client.get(reverse("set-new-password", args=[member.pk, code])).status_code == 410
    assert client.get(reverse("set-new-password", args=[member.pk, code])).status_code == 200


def test_only_a_manager_makes_such_a_link(technician, member):
    with pytest.raises(NotAllowed):
        passwords.allow_new_password(member=member, by=technician)
