"""Notices: told in an act, counted beside the person's name, read by the one they are for."""

from uuid import uuid4

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext

from studio.errors import NotAllowed
from studio.people.models import Member, Notice
from studio.people.operations.members import leave
from studio.people.operations.notices import mark_all_read, mark_read, tell
from tests import factories

pytestmark = pytest.mark.django_db


def unread(person: Member) -> int:
    return Member.objects.get(pk=person.pk).unread


def test_each_is_told_once_and_who_left_is_not(member, helper, manager):
    gone = factories.person("Marek")
    leave(member=gone, by=manager)
    assert tell([member.pk, member.pk, helper.pk, gone.pk], "B04 was reported.", "/shelf/B04/") == 2
    assert (unread(member), unread(helper), unread(gone)) == (1, 1, 0)
    assert Notice.objects.count() == 2


def test_a_sentence_too_long_is_cut_where_it_can_be_read(member):
    tell([member.pk], "w" * 400)
    assert len(member.notices.get().words) == 300
    assert member.notices.get().words.endswith("…")


def test_reading_counts_down_and_reading_again_changes_nothing(member):
    for number in range(3):
        tell([member.pk], f"Notice {number}")
    first = member.notices.first()
    mark_read(notice=first, by=member)
    mark_read(notice=first, by=member)
    assert unread(member) == 2
    mark_all_read(by=member)
    assert unread(member) == 0
    assert not Notice.objects.filter(read_at=None).exists()


def test_nobody_reads_what_is_for_another(member, helper, client):
    tell([member.pk], "For Ilse.")
    notice = member.notices.get()
    with pytest.raises(NotAllowed):
        mark_read(notice=notice, by=helper)
    client.force_login(helper)
    assert "For Ilse." not in client.get("/people/notices/").content.decode()
    assert client.post(f"/people/notices/{notice.pk}/", {"key": uuid4()}).status_code == 404
    assert unread(member) == 1


def test_the_count_stands_beside_the_name_and_the_post_leads_to_the_page(client, member):
    tell([member.pk], "B04 was looked at.", "/shelf/")
    client.force_login(member)
    assert "notice not read yet" in client.get("/shelf/").content.decode()
    notice = member.notices.get()
    answer = client.post(f"/people/notices/{notice.pk}/", {"key": uuid4()})
    assert (answer.status_code, answer.url) == (303, "/shelf/")
    assert "not read yet" not in client.get("/shelf/").content.decode()


@pytest.mark.parametrize("address", ["https://evil.example/", "//evil.example/", "javascript:alert(1)", ""])
def test_a_notice_leads_nowhere_else(client, member, address):
    tell([member.pk], "Look here.", address)
    client.force_login(member)
    answer = client.post(f"/people/notices/{member.notices.get().pk}/", {"key": uuid4()})
    assert answer.url == "/people/notices/"


def test_the_count_needs_no_query_of_its_own_and_the_page_is_flat(client, member):
    client.force_login(member)
    client.get("/people/notices/")
    counts = []
    for _ in range(2):
        for number in range(60):
            tell([member.pk], f"Notice {number}", "/shelf/")
        with CaptureQueriesContext(
            connection,
        ) as asked:
            page = client.get("/people/notices/")
        counts.append(len(asked))
        assert page.status_code == 200
    assert counts[0] == counts[1] <= 6
    with CaptureQueriesContext(connection) as shelf:
        client.get("/shelf/")
    assert not any("people_notice" in row["sql"] for row in shelf)


@pytest.mark.parametrize("key", ["", "no key", "1" * 40])
def test_without_a_good_key_nothing_is_read(client, member, key):
    tell([member.pk], "B04 was reported.")
    client.force_login(member)
    assert client.post("/people/notices/", {"key": key}).status_code == 422
    assert unread(member) == 1
