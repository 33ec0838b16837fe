"""Safety checks: how each stands, what may not be used, a wrong row replaced by another.

Days between checks are those of the studio's rules as they come; places and findings are invented.
"""

import html
from datetime import date, datetime, timedelta
from uuid import uuid4

import pytest
import time_machine
from django.db import connection, transaction
from django.test.utils import CaptureQueriesContext
from django.urls import reverse
from django.utils import timezone

from safety import checks
from safety.calc.checks import standing
from safety.models import SafetyCheck
from safety.operations.checks import correct_check, record_check, tick_cleaning
from studio.errors import KeyUsedOtherwise, NotAllowed, Refused
from studio.front import proof
from studio.front.due import due
from studio.people.models import Entry
from studio.room import policy
from studio.room.operations.policy import set_policy
from studio.room.steps import progress
from tests import factories
from tests.api.asking import program

pytestmark = pytest.mark.django_db
DAY = timedelta(days=1)


def ago(days: float) -> datetime:
    return timezone.now() - days * DAY


def of(kind: str) -> checks.Looked:
    rows = checks.of_the_room(timezone.localdate(), policy.in_force())
    return next(row for row in rows if row.kind == kind)


def words(kind: str) -> str:
    return of(kind).standing.word


def lines() -> list[tuple[str, str, str]]:
    return [(row.what, row.why, row.address) for row in due(timezone.now(), progress())]


def line(begins: str) -> tuple[str, str, str]:
    found = [row for row in lines() if row[0].startswith(begins)]
    assert len(found) == 1, lines()
    return found[0]


def text(answer) -> str:
    return " ".join(html.unescape(answer.content.decode()).replace("\xa0", " ").split())


# --- when the next is due -------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("last", "good", "days", "word", "due_on"),
    [
        (None, False, 7, "never", None),
        (date(2026, 4, 1), True, 7, "in order", date(2026, 4, 8)),
        (date(2026, 3, 26), True, 7, "in order", date(2026, 4, 2)),
        (date(2026, 3, 25), True, 7, "due", date(2026, 4, 1)),
        (date(2026, 3, 31), True, 1, "due", date(2026, 4, 1)),
        (date(2025, 4, 2), True, 365, "in order", date(2026, 4, 2)),
        (date(2026, 4, 1), False, 7, "not in order", date(2026, 4, 1)),
        (date(2026, 1, 1), False, 365, "not in order", date(2026, 1, 1)),
    ],
)
def test_a_check_is_due_on_the_day_its_days_are_over(last, good, days, word, due_on):
    found = standing(last=last, good=good, days=days, today=date(2026, 4, 1))
    assert (found.word, found.due_on) == (word, due_on)
    assert found.waits == (word != "in order")


def test_a_check_is_done_every_day_or_more_seldom():
    with pytest.raises(ValueError, match="every day"):
        standing(last=None, good=True, days=0, today=date(2026, 4, 1))


def test_the_sentence_says_when_it_was_done_and_since_when_it_is_due():
    said = standing(last=date(2026, 3, 20), good=True, days=7, today=date(2026, 4, 1)).sentence
    assert said == "Done 12 days ago; due for 5 days."


def test_the_studios_own_days_decide(technician):
    record_check(kind="trap", good=True, by=technician, at=ago(10))
    assert words("trap") == "due"
    set_policy(name="trap_days", value=14, by=technician)
    assert words("trap") == "in order"


# --- recording ------------------------------------------------------------------------------------------


def test_a_check_keeps_what_was_found_who_looked_and_what_was_typed(technician):
    row = record_check(
        kind="extraction", good=True, found=" gauge 120 Pa ", place=" hood ", by=technician, raw="as typed"
    )
    assert (row.found, row.place, row.by, row.raw) == ("gauge 120 Pa", "hood", technician, "as typed")
    assert words("extraction") == "in order"


def test_the_same_key_is_one_row_and_with_other_words_it_is_refused(technician):
    key = uuid4()
    told = {"kind": "filter", "good": True, "by": technician, "key": key}
    assert record_check(**told) == record_check(**told)
    assert SafetyCheck.objects.count() == 1
    with pytest.raises(KeyUsedOtherwise):
        record_check(**{**told, "kind": "trap"})


def test_any_member_ticks_the_cleaning_and_records_nothing_else(member):
    assert tick_cleaning(by=member).kind == "cleaning"
    with pytest.raises(NotAllowed):
        record_check(kind="trap", good=True, by=member)
    assert SafetyCheck.objects.count() == 1


def test_a_helper_neither_records_nor_corrects(helper, technician):
    row = factories.CheckFactory()
    for act in (
        lambda: record_check(kind="trap", good=True, by=helper),
        lambda: correct_check(check=row, good=True, by=helper),
    ):
        with pytest.raises(NotAllowed):
            act()
    assert SafetyCheck.objects.count() == 1


def test_cleaning_a_part_is_kept_and_leaves_the_room_due(member):
    tick_cleaning(by=member, at=ago(3))
    tick_cleaning(place="glazing tables", by=member)
    assert (words("cleaning"), of("cleaning").last.place) == ("due", "")
    tick_cleaning(by=member)
    assert words("cleaning") == "in order"


def test_a_check_told_by_its_day_stands_after_what_was_written_that_day(technician):
    yesterday = timezone.localdate() - DAY
    record_check(kind="trap", good=False, found="full", by=technician, at=ago(1))
    record_check(kind="trap", good=True, found="emptied", done_on=yesterday, by=technician)
    assert words("trap") == "in order"


# --- what may not be used -------------------------------------------------------------------------------


@pytest.mark.parametrize("kind", checks.OF_THE_ROOM)
def test_what_failed_says_what_may_not_be_used_until_it_is_in_order(client, technician, member, kind):
    record_check(kind=kind, good=False, found="gauge at 0 Pa", by=technician)
    client.force_login(member)
    page = text(client.get(reverse("checks")))
    assert (words(kind), of(kind).not_to_be_used) == ("not in order", checks.UNTIL_IN_ORDER[kind])
    assert "Not to be used now" in page
    assert checks.UNTIL_IN_ORDER[kind] in page
    record_check(kind=kind, good=True, by=technician)
    assert (words(kind), of(kind).not_to_be_used) == ("in order", "")
    assert "Not to be used now" not in text(client.get(reverse("checks")))


def test_it_is_said_at_once_to_whoever_recorded_it(client, technician):
    client.force_login(technician)
    sent = {"kind": "extraction", "good": "no", "found": "no draught", "key": uuid4()}
    page = text(client.post(reverse("record-check"), sent, follow=True))
    assert f"not in order. {checks.UNTIL_IN_ORDER['extraction']}" in page


def test_one_vacuum_in_order_says_nothing_of_the_other(technician):
    record_check(kind="filter", good=False, place="Vacuum 1", found="torn", by=technician, at=ago(3))
    record_check(kind="filter", good=True, place="vacuum 2", by=technician, at=ago(2))
    assert words("filter") == "not in order"
    assert [row.place for row in of("filter").against] == ["Vacuum 1"]
    record_check(kind="filter", good=True, place="vacuum 1", by=technician, at=ago(1))
    assert (words("filter"), of("filter").against) == ("in order", [])


def test_a_check_of_all_of_them_speaks_for_each(technician):
    record_check(kind="filter", good=False, place="vacuum 1", found="torn", by=technician, at=ago(3))
    record_check(kind="filter", good=True, by=technician)
    assert words("filter") == "in order"


# --- respirators ----------------------------------------------------------------------------------------


def test_whoever_handles_powder_has_a_respirator_to_be_looked_at(technician, helper, member):
    rows = checks.respirators(timezone.localdate(), policy.in_force())
    assert {row.person.name: row.standing.word for row in rows} == {"Bram": "never", "Yusuf": "never"}


def test_a_respirator_that_does_not_fit_is_not_worn(technician, helper):
    record_check(kind="respirator", person=technician, good=True, by=technician, at=ago(364))
    record_check(kind="respirator", person=helper, good=False, found="leaks at the chin", by=technician)
    rows = checks.respirators(timezone.localdate(), policy.in_force())
    assert [(row.person.name, row.standing.word) for row in rows] == [
        ("Yusuf", "not in order"), ("Bram", "in order"),
    ]  # fmt: skip
    assert "Do not wear it" in rows[0].not_to_be_used
    with time_machine.travel(timezone.now() + DAY):
        waits = checks.waiting(timezone.localdate(), policy.in_force())
        assert {person.name for person in waits} == {"Yusuf", "Bram"}


def test_anothers_respirator_is_not_for_members(client, technician, helper, member):
    record_check(kind="respirator", person=helper, good=False, found="leaks at the chin", by=technician)
    for person, reads in ((technician, True), (helper, True), (member, False)):
        client.force_login(person)
        assert ("leaks at the chin" in text(client.get(reverse("checks")))) == reads
        told = program(person)
        assert bool(told.told("checks/")["results"]) == reads
        assert any(row["person"] for row in told.told("checks/due/")["results"]) == reads


# --- corrected ------------------------------------------------------------------------------------------


def test_a_correction_takes_the_place_of_the_wrong_row_and_both_are_kept(technician):
    wrong = record_check(kind="trap", good=True, by=technician, at=ago(2))
    right = correct_check(check=wrong, good=False, found="was full", by=technician)
    assert (right.replaces, right.at, right.kind) == (wrong, wrong.at, "trap")
    assert words("trap") == "not in order"
    assert SafetyCheck.objects.count() == 2
    with pytest.raises(Refused, match="corrected already"):
        correct_check(check=wrong, good=True, by=technician)


def test_a_corrected_alarm_is_no_alarm(technician):
    wrong = record_check(kind="trap", good=False, found="full", by=technician, at=ago(2))
    correct_check(check=wrong, good=True, by=technician)
    assert (words("trap"), of("trap").against) == ("in order", [])


# --- Today ----------------------------------------------------------------------------------------------


def test_today_says_what_is_due_and_leads_to_what_clears_it(technician):
    factories.VesselFactory()
    for kind in ("extraction", "filter"):
        record_check(kind=kind, good=True, by=technician, at=ago(1))
    record_check(kind="trap", good=True, by=technician, at=ago(9))
    tick_cleaning(by=technician, at=ago(2))
    what, why, address = line("Sink trap")
    assert (what, why) == ("Sink trap: due", "Done 9 days ago; due for 2 days.")
    assert address == f"{reverse('record-check')}?kind=trap"
    assert line("Wet cleaning")[2] == reverse("tick-cleaning")
    assert not [row for row in lines() if row[0].startswith(("Extraction", "Vacuum"))]
    record_check(kind="trap", good=True, by=technician)
    assert not [row for row in lines() if row[0].startswith("Sink trap")]


def test_today_puts_what_may_not_be_used_high_and_says_it(technician):
    record_check(kind="extraction", good=False, place="hood", found="no draught", by=technician)
    what, why, address = line("Extraction")
    assert what == "Extraction, hood: not in order"
    assert why.startswith(checks.UNTIL_IN_ORDER["extraction"])
    assert why.endswith("no draught")
    assert address.endswith("?kind=extraction&place=hood")


def test_a_room_without_buckets_is_not_asked_for_checks_it_never_needed(technician):
    assert not [row for row in lines() if "never" in row[0]]
    factories.VesselFactory()
    _, why, _ = line("Safety checks never done")
    assert "wet cleaning, vacuum or air filter, extraction, sink trap" in why


# --- pages and program ----------------------------------------------------------------------------------

RECORD = {"kind": "trap", "good": "yes", "found": "half full", "place": "sink", "done_on": ""}
LATER = (date(2026, 11, 25) + timedelta(days=40000)).isoformat()
WRONG_DAYS = [
    ("done_on", "tomorrow", "A day is written like"),
    ("done_on", "2026-02-30", "A day is written like"),
    ("done_on", "12", "A day is written like"),
    ("done_on", "<b>", "A day is written like"),
    ("done_on", LATER, "still to come"),
    ("done_on", "1999-01-01", "800 days back"),
    ("done_on", "0000-00-00", "A day is written like"),
]
WRONG_TEXT = [
    (name, typed, "cannot be kept" if "\0" in typed else "At most")
    for name, longest in (("found", 200), ("place", 60))
    for typed in ("t" * (longest + 1), "t" * 5000, "ü" * (longest + 1), "\0", "sink\0", "\0sink", "a\0b")
]
WRONG_CHOICE = [
    ("good", "", "Choose"),
    ("good", "maybe", "Choose"),
    ("good", "True", "Choose"),
    ("good", "YES", "Choose"),
    ("good", "yes ", "Choose"),
    ("good", "<b>", "Choose"),
]
WRONG_KIND = [
    ("kind", "", "Choose"),
    ("kind", "lamp", "Choose"),
    ("kind", "Trap", "Choose"),
    ("kind", "trap' OR 1", "Choose"),
    ("kind", "trap,filter", "Choose"),
    ("kind", "1", "Choose"),
]
WRONG_PERSON = [("person", said, "Choose") for said in ("x", "0", "-1", "999999", "9" * 30, "1 OR 1", "<b>")]


def refused(client, address: str, data: dict, field: str, says: str) -> None:
    before = (SafetyCheck.objects.count(), Entry.objects.count())
    answer = client.post(address, {**data, "key": uuid4()})
    assert answer.status_code == 422, answer.content
    said = answer.context["form"].errors[field]
    assert any(says in sentence for sentence in said), said
    assert html.escape(said[0]) in answer.content.decode() or said[0] in text(answer)
    assert (SafetyCheck.objects.count(), Entry.objects.count()) == before
    if field != "place":
        assert data["place"] in text(answer)


@pytest.mark.parametrize(
    ("field", "typed", "says"), WRONG_DAYS + WRONG_TEXT + WRONG_CHOICE + WRONG_KIND + WRONG_PERSON
)
def test_a_wrong_check_is_told_beside_its_field(client, technician, field, typed, says):
    client.force_login(technician)
    refused(client, reverse("record-check"), {**RECORD, field: typed}, field, says)


@pytest.mark.parametrize(("field", "typed", "says"), WRONG_DAYS + WRONG_TEXT + WRONG_CHOICE)
def test_a_wrong_correction_is_told_beside_its_field(client, technician, field, typed, says):
    row = factories.CheckFactory()
    client.force_login(technician)
    refused(client, reverse("correct-check", args=[row.pk]), {**RECORD, field: typed}, field, says)


@pytest.mark.parametrize(("field", "typed", "says"), WRONG_TEXT)
def test_a_wrong_tick_is_told_beside_its_field(client, member, field, typed, says):
    client.force_login(member)
    refused(client, reverse("tick-cleaning"), {"place": "sink", field: typed}, field, says)


@pytest.mark.parametrize("found", ["", " ", "\t", "\n", "  \r\n ", "\u00a0"])
def test_what_is_not_in_order_is_said_in_words(client, technician, found):
    client.force_login(technician)
    data = {**RECORD, "good": "no", "found": found}
    refused(client, reverse("record-check"), data, "found", "Say what is not in order")


def test_a_respirator_is_somebodys_and_a_trap_is_nobodys(client, technician, helper):
    client.force_login(technician)
    refused(client, reverse("record-check"), {**RECORD, "kind": "respirator"}, "person", "Whose respirator")
    refused(client, reverse("record-check"), {**RECORD, "person": helper.pk}, "person", "Only a respirator")
    with pytest.raises(Refused, match="who is here"):
        record_check(kind="respirator", good=True, person=factories.the_room(), by=technician)


def test_a_program_records_and_asks_the_same(technician):
    bram = program(technician)
    row = bram.did("checks/record-check/", {"kind": "trap", "good": "no", "found": "full"})
    found = {row["kind"]: row for row in bram.told("checks/due/")["results"] if not row["person"]}
    assert found["trap"]["word"] == "not in order"
    assert found["trap"]["not_to_be_used"] == checks.UNTIL_IN_ORDER["trap"]
    assert (found["filter"]["word"], found["filter"]["due_on"]) == ("never", None)
    bram.did(f"checks/{row['id']}/correct-check/", {"good": "yes"})
    assert [row["good"] for row in bram.told("checks/", kind="trap")["results"]] == [True, False]


def test_the_page_stays_as_cheap_as_history_grows(client, technician):
    client.force_login(technician)

    def queries() -> int:
        with CaptureQueriesContext(connection) as caught:
            assert client.get(reverse("checks")).status_code == 200
        return len(caught)

    record_check(kind="trap", good=False, place="sink 0", found="full", by=technician)
    few = queries()
    for number in range(1, 30):
        record_check(kind="trap", good=number % 2 == 0, place=f"sink {number}", found="full", by=technician)
    assert queries() == few <= 12


def test_prove_names_a_check_that_is_nobodys_or_corrects_another(technician, helper):
    trap = record_check(kind="trap", good=True, by=technician)
    with transaction.atomic():
        SafetyCheck.objects.create(kind="respirator", good=True, by=technician)
        SafetyCheck.objects.create(kind="trap", person=helper, good=True, by=technician)
        SafetyCheck.objects.create(kind="filter", replaces=trap, good=True, by=technician)
        said = " ".join(str(problem) for problem in proof.problems())
        transaction.set_rollback(True)
    for wrong in ("names nobody", "is no respirator", "which is of something else"):
        assert wrong in said
    assert not proof.problems()
