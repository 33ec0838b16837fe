"""A prepared queryset answers what the queryset answers, for every value, on every connection."""

from datetime import timedelta
from threading import Thread

import pytest
from django.db import connection
from django.db.models import CharField, DateTimeField, F, FloatField, IntegerField, Value
from django.test.utils import CaptureQueriesContext
from django.utils import timezone

from studio.people.models import Member
from studio.prepared import Prepared
from tests.factories import person

pytestmark = pytest.mark.django_db


def _joined_before(name, before):
    return Member.objects.filter(name__gte=name, joined_at__lt=before).order_by("name")


BY_NAME = Prepared(_joined_before, name=CharField(), before=DateTimeField())
PLAIN = Prepared(
    lambda pk: Member.objects.filter(pk=pk).annotate(twice=F("pk") + F("pk")).values_list("name", "twice"),
    pk=IntegerField(),
)
NONE = Prepared(lambda: Member.objects.order_by("pk"))


def test_rows_are_those_of_the_queryset_whatever_the_values():
    for name in ("Bram", "Ilse", "Odile"):
        person(name)
    soon = timezone.now() + timedelta(minutes=1)
    for name in ("", "B", "Ilse", "Z", "O'Hara", '"; drop table people_member', "ü"):
        assert BY_NAME.rows(name=name, before=soon) == list(_joined_before(name, soon))
    assert BY_NAME.rows(name="", before=soon - timedelta(days=1)) == []


def test_what_never_changes_is_found_as_it_is_written():
    odd = 'O\'Hara, 100 % of "it" %s ?'
    person(odd)
    constant = Prepared(
        lambda pk: Member.objects.filter(name=odd, pk__gt=pk, is_active=True), pk=IntegerField()
    )
    assert [member.name for member in constant.rows(pk=0)] == [odd]
    assert constant.rows(pk=10**12) == []


def test_plain_rows_and_annotations_come_as_tuples():
    bram = person("Bram")
    assert PLAIN.rows(pk=bram.pk) == [("Bram", 2 * bram.pk)]
    assert PLAIN.rows(pk=0) == []


def test_it_is_one_query_and_is_asked_anew_each_time():
    bram = person("Bram")
    first = Prepared(lambda pk: Member.objects.filter(pk=pk), pk=IntegerField())
    for expected in ([bram], [bram]):
        with CaptureQueriesContext(connection) as seen:
            assert first.rows(pk=bram.pk) == expected
        assert len(seen) == 1
    Member.objects.filter(pk=bram.pk).update(name="Bram the second")
    assert [member.name for member in first.rows(pk=bram.pk)] == ["Bram the second"]


def test_a_place_that_is_not_used_and_rows_fetched_beside_are_refused():
    with pytest.raises(ValueError, match="not used"):
        Prepared(lambda pk: Member.objects.all(), pk=IntegerField()).rows(pk=1)
    with pytest.raises(ValueError, match="beside it"):
        Prepared(lambda: Member.objects.prefetch_related("tokens")).rows()
    with pytest.raises(TypeError, match="no mark for FloatField"):
        Prepared(lambda x: Member.objects.annotate(x=Value(x)), x=FloatField()).rows(x=1)


@pytest.mark.django_db(transaction=True)
def test_every_thread_writes_its_own():
    person("Bram")
    found = []

    def ask():
        try:
            found.append([member.name for member in NONE.rows()])
        finally:
            connection.close()

    threads = [Thread(target=ask) for _ in range(4)]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    assert found == [["Bram"]] * 4
