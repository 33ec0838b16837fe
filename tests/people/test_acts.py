"""How an act is done: once per key, whole or not at all, and written down for good.

The acts here are made for the tests, on rows of the room: what is tested is the decorator.
"""

import json
import subprocess
import sys
import threading
from dataclasses import dataclass
from datetime import UTC, date, datetime
from decimal import Decimal
from uuid import UUID, uuid4

import pytest
from django.db import DatabaseError, close_old_connections, connection, transaction
from django.utils import timezone

from studio.errors import KeyUsedOtherwise, Refused
from studio.people import acts
from studio.people.acts import act, story, take_number
from studio.people.models import Counter, Entry
from studio.room.models import Scale
from tests import factories


@act("sample scale named", about="beside", secret=("word",))
def name_scale(*, name, division_g="1", beside=None, word="", by=None, key=None, at=None, raw=""):
    scale = Scale.objects.create(name=name, division_g=division_g, capacity_g="5000")
    if name == "refused":
        raise Refused("Not that name.", field="name")
    if name == "broken":
        raise RuntimeError("a fault of ours")
    return scale


@act("sample pair named")
def name_pair(*, first, second, by=None, key=None):
    name_scale(name=first, by=by)
    return name_scale(name=second, by=by)


@act("sample scale retired", about="scale")
def retire_once(*, scale, by=None, key=None):
    scale = Scale.objects.select_for_update().get(pk=scale.pk)
    if scale.retired_at:
        raise Refused("It is retired already.")
    scale.retired_at = timezone.now()
    scale.save()
    return scale


@act("sample scale numbered")
def number_and_name(*, name, by=None, key=None):
    take_number("sample")
    return name_scale(name=name, by=by)


def scales() -> list[str]:
    return sorted(Scale.objects.values_list("name", flat=True))


# --- one key, one row ---------------------------------------------------------------------------------


def test_the_same_key_again_answers_with_the_first_row(technician):
    key = uuid4()
    first = name_scale(name="Fine", by=technician, key=key)
    again = name_scale(name="Fine", by=technician, key=key)
    assert again == first
    assert scales() == ["Fine"]
    assert Entry.objects.count() == 1


def test_a_key_sent_as_text_is_the_same_key(technician):
    key = uuid4()
    assert name_scale(name="Fine", by=technician, key=str(key)) == name_scale(
        name="Fine", by=technician, key=key
    )
    assert scales() == ["Fine"]


def test_without_a_key_every_call_is_an_act_of_its_own(technician):
    name_scale(name="Fine", by=technician)
    name_scale(name="Bulk", by=technician)
    assert scales() == ["Bulk", "Fine"]
    assert Entry.objects.values("key").distinct().count() == 2


@pytest.mark.parametrize(
    "other",
    [{"name": "Bulk"}, {"division_g": "0.1"}, {"raw": "fine"}, {"at": datetime(2026, 3, 2, tzinfo=UTC)}],
)
def test_the_same_key_with_other_content_is_refused(technician, other):
    key = uuid4()
    name_scale(name="Fine", by=technician, key=key)
    with pytest.raises(KeyUsedOtherwise) as refusal:
        name_scale(**({"name": "Fine"} | other), by=technician, key=key)
    assert "sent before with other content" in refusal.value.sentence
    assert scales() == ["Fine"]
    assert Entry.objects.count() == 1


def test_the_same_key_from_another_person_is_refused(technician, manager):
    key = uuid4()
    name_scale(name="Fine", by=technician, key=key)
    for other in (manager, None):
        with pytest.raises(KeyUsedOtherwise):
            name_scale(name="Fine", by=other, key=key)
    assert Entry.objects.count() == 1


def test_the_same_key_for_another_act_is_refused(technician):
    key = uuid4()
    name_scale(name="Fine", by=technician, key=key)
    with pytest.raises(KeyUsedOtherwise):
        name_pair(first="Fine", second="Bulk", by=technician, key=key)
    assert scales() == ["Fine"]


def test_a_refused_key_may_be_used_again(technician):
    key = uuid4()
    with pytest.raises(Refused):
        name_scale(name="refused", by=technician, key=key)
    name_scale(name="Fine", by=technician, key=key)
    assert scales() == ["Fine"]


def test_the_first_row_is_found_however_it_changed_since(technician):
    key = uuid4()
    first = name_scale(name="Fine", by=technician, key=key)
    Scale.objects.filter(pk=first.pk).update(name="Fine 600 g")
    assert name_scale(name="Fine", by=technician, key=key).name == "Fine 600 g"


# --- whole or not at all ------------------------------------------------------------------------------


@pytest.mark.parametrize(("name", "error"), [("refused", Refused), ("broken", RuntimeError)])
def test_an_act_that_fails_writes_nothing(technician, name, error):
    with pytest.raises(error):
        name_scale(name=name, by=technician, key=uuid4())
    assert scales() == []
    assert Entry.objects.count() == 0


def test_an_act_of_two_acts_is_one_whole(technician):
    key = uuid4()
    with pytest.raises(Refused):
        name_pair(first="Fine", second="refused", by=technician, key=key)
    assert scales() == []
    name_pair(first="Fine", second="Bulk", by=technician, key=key)
    name_pair(first="Fine", second="Bulk", by=technician, key=key)
    assert scales() == ["Bulk", "Fine"]
    assert Entry.objects.count() == 3


def test_a_number_given_out_by_a_refused_act_is_not_lost(db):
    with pytest.raises(Refused):
        number_and_name(name="refused")
    assert [take_number("sample"), take_number("sample"), take_number("other")] == [1, 2, 1]


def test_arguments_are_named(technician):
    with pytest.raises(TypeError, match="takes keywords only"):
        name_scale("Fine", by=technician)


# --- the journal --------------------------------------------------------------------------------------


def test_the_journal_holds_who_what_when_and_the_words(technician):
    beside = factories.ScaleFactory()
    told = datetime(2026, 3, 2, 9, 30, tzinfo=UTC)
    row = name_scale(
        name="Fine", division_g=Decimal("0.10"), beside=beside, raw="fine, 0,1", by=technician, at=told
    )
    entry = story(beside)[0]
    assert (entry.act, entry.by) == ("sample scale named", technician)
    assert (entry.result_kind, entry.result_id) == ("room.scale", row.pk)
    assert entry.content == {
        "name": "Fine",
        "division_g": "0.1",
        "beside": f"room.scale:{beside.pk}",
        "raw": "fine, 0,1",
        "at": "2026-03-02T09:30:00+00:00",
    }
    assert entry.at == told
    assert (entry.entered_at - told).days > 0


def test_what_is_secret_is_in_no_journal(technician):
    row = name_scale(name="Fine", word="slow-wet-clay", by=technician)
    entry = story(row).get()
    assert "slow-wet-clay" not in json.dumps(entry.content)
    assert "word" not in entry.content


@pytest.mark.parametrize("statement", ["UPDATE", "DELETE"])
def test_the_database_itself_refuses_to_edit_the_journal(technician, statement):
    name_scale(name="Fine", by=technician)
    table = Entry._meta.db_table
    sql = {"UPDATE": f"UPDATE {table} SET act = 'another'", "DELETE": f"DELETE FROM {table}"}[statement]  # noqa: S608
    with pytest.raises(DatabaseError, match="history is added to, never edited"), transaction.atomic():
        connection.cursor().execute(sql)
    with pytest.raises(DatabaseError, match="history is added to"), transaction.atomic():
        Entry.objects.update(act="another") if statement == "UPDATE" else Entry.objects.all().delete()
    assert Entry.objects.get().act == "sample scale named"


@dataclass(frozen=True)
class Line:
    name: str
    parts: Decimal


@pytest.mark.parametrize(
    ("value", "kept"),
    [
        (Decimal("1.4500"), "1.45"),
        (Decimal("1E+3"), "1000"),
        (Decimal("-0.00"), "0"),
        (date(2026, 3, 2), "2026-03-02"),
        (datetime(2026, 3, 2, 9, tzinfo=UTC), "2026-03-02T09:00:00+00:00"),
        (UUID(int=7), "00000000-0000-0000-0000-000000000007"),
        ([Line("Silica", Decimal("22.50"))], [{"name": "Silica", "parts": "22.5"}]),
        ({"b": {3, 1, 2}, 1: None}, {"b": [1, 2, 3], "1": None}),
        ({"wet mixing", "SG"}, ["SG", "wet mixing"]),
        (True, True),
        (0.1, 0.1),
    ],
)
def test_values_are_written_plainly(value, kept):
    assert acts.plain(value) == kept
    json.dumps(acts.plain(value))


def test_a_value_that_cannot_be_written_plainly_is_a_fault():
    with pytest.raises(TypeError, match="cannot stand in the journal"):
        acts.plain(object())
    with pytest.raises(TypeError, match="cannot stand in the journal"):
        acts.plain(float("nan"))


def test_a_set_gives_the_same_digest_in_every_process():
    # Python orders the words of a set anew in each process; a repeat may reach another one.
    code = (
        "import django; django.setup();"
        "from studio.people.acts import plain, _digest;"
        "print(_digest('x', None, {'kinds': plain({'SG', 'kiln', 'dipping', 'weighing'})}))"
    )
    env = {"DJANGO_SETTINGS_MODULE": "tests.settings", "PATH": "/usr/bin:/bin"}
    digests = {
        subprocess.run(
            [sys.executable, "-c", code], env={**env, "PYTHONHASHSEED": seed}, capture_output=True, text=True
        ).stdout
        for seed in ("1", "2", "3")
    }
    assert len(digests) == 1
    assert len(digests.pop().strip()) == 64


# --- two at once --------------------------------------------------------------------------------------


def at_once(*calls):
    """Run the calls in threads that start together; return what each returned or raised."""
    start, answers = threading.Barrier(len(calls)), [None] * len(calls)

    def run(place, call):
        try:
            start.wait()
            answers[place] = call()
        except Exception as error:
            answers[place] = error
        finally:
            close_old_connections()
            connection.close()

    threads = [threading.Thread(target=run, args=pair) for pair in enumerate(calls)]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    return answers


@pytest.mark.django_db(transaction=True)
def test_two_senders_of_one_key_get_one_row():
    bram = factories.person("Bram", "technician")
    for attempt in range(20):
        key, name = uuid4(), f"Fine {attempt}"
        first, second = at_once(*[lambda n=name, k=key: name_scale(name=n, by=bram, key=k)] * 2)
        assert isinstance(first, Scale), first
        assert first == second
        assert Scale.objects.filter(name=name).count() == 1
        assert Entry.objects.filter(key=key).count() == 1


@pytest.mark.django_db(transaction=True)
def test_the_slower_sender_gets_the_row_not_a_refusal():
    # Waiting for the row's lock, the slower one sees it done already; but it was its own act.
    bram = factories.person("Bram", "technician")
    for attempt in range(20):
        key, scale = uuid4(), factories.ScaleFactory(name=f"Fine {attempt}")
        answers = at_once(*[lambda s=scale, k=key: retire_once(scale=s, by=bram, key=k)] * 2)
        assert answers == [scale, scale]
        assert Entry.objects.filter(key=key).count() == 1


@pytest.mark.django_db(transaction=True)
def test_two_senders_of_one_key_with_other_content_leave_one_row():
    bram = factories.person("Bram", "technician")
    for attempt in range(20):
        key = uuid4()
        calls = [
            lambda n=n, k=key: name_scale(name=n, by=bram, key=k) for n in (f"F{attempt}", f"G{attempt}")
        ]
        answers = at_once(*calls)
        assert sorted(type(a).__name__ for a in answers) == ["KeyUsedOtherwise", "Scale"], answers
        assert Entry.objects.filter(key=key).count() == 1
    assert Scale.objects.count() == 20


@pytest.mark.django_db(transaction=True)
def test_a_number_is_never_given_out_twice():
    def ten():
        taken = []
        for _ in range(10):
            with transaction.atomic():
                taken.append(take_number("sample"))
        return taken

    numbers = [n for taken in at_once(ten, ten, ten) for n in taken]
    assert sorted(numbers) == list(range(1, 31))
    assert Counter.objects.get(name="sample").last == 30
