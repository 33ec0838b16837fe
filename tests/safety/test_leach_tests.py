"""A leach test is kept as its report says, corrected by a new record, and wrong input changes nothing."""

from dataclasses import replace
from datetime import date, timedelta
from decimal import Decimal
from uuid import uuid4

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from django.db import DatabaseError, transaction
from django.urls import reverse
from django.utils import timezone

from safety.calc.freshness import months_after
from safety.documents import document, path_of
from safety.models import LeachResult, LeachTest
from safety.operations.contact import TypedResult, correct_leach_test
from studio.errors import NotAllowed, Refused
from studio.people.models import Entry
from tests.batches.words import words_of
from tests.factories import LeachTestFactory, VersionFactory, bram, leach_report, leached
from tests.safety.pdfs import pdf

pytestmark = pytest.mark.django_db
GOOD = {
    "clay": "buff stoneware", "firing": "cone 6, oxidation", "layers": "two coats", "batch": "26-014",
    "laboratory": "Fernhill Testing", "accreditation": "", "report_number": "FT-118",
    "reported_on": "2026-02-10", "method": "ISO 6486-1", "leachant": "acetic acid 4 %", "hours": "24",
    "temperature_c": "22", "depth_mm": "80,5", "volume_ml": "350", "use": "cup", "pieces": "2",
    "limit_set": "EU 84/500", "expires_on": "", "note": "mugs of the spring kiln", "rows": "12",
    "row0-piece": "1", "row0-element": "Pb", "row0-below": "", "row0-value": "0,21", "row0-unit": "mg/L",
    "row1-piece": "2", "row1-element": "Pb", "row1-below": "", "row1-value": "180", "row1-unit": "µg/L",
    "row2-piece": "1", "row2-element": "Cd", "row2-below": "", "row2-value": "< 0.01", "row2-unit": "mg/L",
    "row3-piece": "2", "row3-element": "Cd", "row3-below": "below", "row3-value": "0.01", "row3-unit": "mg/L",
}  # fmt: skip


@pytest.fixture
def version():
    return VersionFactory(name="Linseed")


@pytest.fixture
def reported():
    """The date of the report, however old this file gets: two months ago."""
    return timezone.localdate() - timedelta(days=60)


def post(client, row, where="record-leach-test", args=(), **changed):
    said = {**GOOD, "reported_on": (timezone.localdate() - timedelta(days=60)).isoformat()}
    typed = {**said, "version": row.pk, "key": str(uuid4()), **changed}
    return client.post(reverse(where, args=args), {k: v for k, v in typed.items() if v is not None})


def test_what_the_report_says_is_kept_with_its_units(client, technician, version, reported):
    client.force_login(technician)
    answer = post(client, version)
    assert answer.status_code == 303
    test = LeachTest.objects.get()
    assert (test.version, test.depth_mm, test.pieces, test.by) == (version, Decimal("80.5"), 2, technician)
    assert test.reported_on == reported
    assert test.expires_on == months_after(reported, 24)  # as the studio's rule comes
    found = [(r.element, r.piece, r.value, r.unit, r.below) for r in test.results.all()]
    assert found == [
        ("Cd", 1, Decimal("0.01"), "mg/L", True),
        ("Cd", 2, Decimal("0.01"), "mg/L", True),
        ("Pb", 1, Decimal("0.21"), "mg/L", False),
        ("Pb", 2, Decimal("0.18"), "mg/L", False),  # 180 µg/L
    ]
    assert "row1-value=180" in test.raw
    page = words_of(client.get(answer.url))
    assert "within its limits" in page
    assert "Category 2: all other articles that can be filled" in page
    assert "1: 0.21 mg/L" in page


def test_it_is_in_the_list_and_on_the_page_of_its_recipe(client, technician, version):
    client.force_login(technician)
    assert "No leach test on record" in words_of(client.get(reverse("leach-tests")))
    before = words_of(client.get(reverse("recipe", args=[version.recipe_id])))
    assert "No leach test on record. " in before
    LeachTestFactory(version=version)
    assert "L001, Linseed" in words_of(client.get(reverse("leach-tests")))
    page = words_of(client.get(reverse("recipe", args=[version.recipe_id])))
    assert "Leach test L001, ISO 6486-1 of" in page
    assert "Nothing here says it is fit for food." in page
    assert "No leach test on record." not in page


def test_the_limits_are_shown_with_source_and_mark_the_studios_first(client, member):
    client.force_login(member)
    page = words_of(client.get(reverse("leach-tests")))
    assert page.index("the studio’s own") < page.index("FDA action levels")
    assert "from memory" in page
    assert "CPG 545.400" in page
    assert "[O]" not in page


def test_a_correction_is_a_new_record_and_the_old_one_is_history(client, technician, version):
    wrong = LeachTestFactory(version=version, results=leached(lead="9"))
    client.force_login(technician)
    shown = client.get(reverse("correct-leach-test", args=[wrong.number]))
    assert shown.context["form"].rows[11].initial["value"] == Decimal(9)
    answer = post(client, version, "correct-leach-test", [wrong.number], note="a nought was lost")
    assert answer.status_code == 303
    new = LeachTest.objects.get(replaces=wrong)
    assert (wrong.results.count(), new.results.count()) == (12, 4)
    old = words_of(client.get(reverse("leach-test", args=[wrong.number])))
    assert f"{new} replaces it" in old
    assert "The record is wrong" not in old
    listed = client.get(reverse("leach-tests")).context["rows"]
    assert [row["test"] for row in listed] == [new]
    again = post(client, version, "correct-leach-test", [wrong.number])
    assert again.status_code == 422
    assert "was corrected already" in words_of(again)


def test_a_correction_says_what_was_wrong(version):
    wrong = LeachTestFactory(version=version)
    with pytest.raises(Refused, match="What was wrong"):
        correct_leach_test(
            test=wrong, version=version, report=leach_report(note=" "), results=leached(), by=bram()
        )


def test_a_record_is_never_changed_in_place(version):
    test = LeachTestFactory(version=version)
    for rows in (LeachTest.objects.all(), LeachResult.objects.filter(test=test)):
        with pytest.raises(DatabaseError), transaction.atomic():
            rows.delete()
    with pytest.raises(DatabaseError), transaction.atomic():
        LeachResult.objects.update(value=0)


def test_sent_twice_it_is_recorded_once(client, technician, version):
    client.force_login(technician)
    key = str(uuid4())
    assert [post(client, version, key=key).status_code for _ in range(2)] == [303, 303]
    assert LeachTest.objects.count() == 1
    assert Entry.objects.filter(act="leach test recorded").count() == 1


def test_only_who_keeps_the_binder_records_and_corrects(member, helper, version):
    test = LeachTestFactory(version=version)
    for person in (member, helper):
        with pytest.raises(NotAllowed):
            LeachTestFactory(version=version, by=person)
        with pytest.raises(NotAllowed):
            correct_leach_test(
                test=test, version=version, report=leach_report(note="x"), results=leached(), by=person
            )
    assert LeachTest.objects.count() == 1


def test_more_rows_keep_what_was_typed_and_record_nothing(client, technician, version):
    client.force_login(technician)
    answer = post(client, version, more="1")
    assert (answer.status_code, len(answer.context["form"].rows)) == (200, 24)
    assert "mugs of the spring kiln" in answer.content.decode()
    assert "Nothing is recorded" not in answer.content.decode()
    assert LeachTest.objects.count() == 0


# --- the report as PDF


def test_the_report_is_kept_handed_out_as_a_download_and_goes_over_to_a_correction(
    client, technician, version, django_capture_on_commit_callbacks
):
    client.force_login(technician)
    with django_capture_on_commit_callbacks(execute=True):
        post(client, version, document=SimpleUploadedFile("x.pdf", pdf()))
    test = LeachTest.objects.get()
    assert test.file_digest == str(document(pdf()))
    assert path_of(test.file_digest).is_file()
    answer = client.get(reverse("leach-test-file", args=[test.number]))
    assert answer["Content-Disposition"].startswith("attachment")
    assert b"".join(answer) == pdf()
    post(client, version, "correct-leach-test", [test.number], note="wrong clay")
    assert LeachTest.objects.get(replaces=test).file_digest == test.file_digest


def test_a_file_that_is_no_pdf_is_refused_and_nothing_is_recorded(client, technician, version):
    client.force_login(technician)
    answer = post(client, version, document=SimpleUploadedFile("report.pdf", b"<svg onload=alert(1)>"))
    assert answer.status_code == 422
    assert "no PDF" in words_of(answer)
    assert LeachTest.objects.count() == 0


def test_without_a_report_there_is_none_to_hand_out(client, member, version):
    test = LeachTestFactory(version=version)
    client.force_login(member)
    assert client.get(reverse("leach-test-file", args=[test.number])).status_code == 404
    assert "No report is filed with it." in words_of(client.get(reverse("leach-test", args=[test.number])))


# --- wrong input

LONG = "x" * 300
WORDS = ["", " ", "\t", LONG, "a\0b", "food safe", "Non-toxic mug"]
WRONG = {
    "version": ["", "0", "-1", "abc", "999999", "1.5"],
    "clay": WORDS, "firing": WORDS, "laboratory": WORDS, "report_number": WORDS,
    "layers": [LONG, "a\0b", "food-safe liner", "dinnerware safe", "lead-free", "y" * 121],
    "batch": [LONG, "x" * 21, "a\0b", "non toxic", "z" * 40, "lead free"],
    "accreditation": [LONG, "x" * 61, "a\0b", "food safe", "y" * 99, "nontoxic"],
    "note": [LONG, "x" * 201, "a\0b", "so it is food safe", "safe for food", "cadmium-free"],
    "reported_on": ["", "soon", "2999-01-01", "2025-02-30", "31/31/2025", "0"],
    "expires_on": ["never", "2999-01-01", "2000-01-01", "2025-02-30", "x", "0000-00-00"],
    "method": ["", "lemon", "iso", "7", "ISO 6486", "\0"],
    "leachant": ["", "vinegar", "lemon", "acid", "0", "acetic"],
    "hours": ["", "0", "-24", "a day", "1001", "1..5"],
    "temperature_c": ["-1", "151", "warm", "22 or so", "1e3", "2..2"],
    "depth_mm": ["", "-1", "2001", "flat", "1..0", "∞"],
    "volume_ml": ["", "-1", "100001", "full", "1e9", "nan"],
    "use": ["", "plate", "CUP", "0", "eating", "\0"],
    "pieces": ["", "0", "-6", "six", "1.5", "121", "1"],
    "limit_set": ["", "EU", "FR", "0", "US", "none"],
    "row0-piece": ["", "0", "-1", "one", "3", "2"],
    "row0-element": ["", "Fe", "pb", "lead", "0", "Xx"],
    "row0-value": ["-1", "some", "1..2", "1e9", "nan", "<", "< 0"],
    "row0-unit": ["", "ppm", "mg", "mg/dm²", "%", "g/L"],
    "row3-below": ["found", "yes", "<", "1", "BELOW", "not"],
    "row3-value": ["", "0", "below", "-0.01", "100001", "?"],
}  # fmt: skip


@pytest.mark.parametrize(("field", "typed"), [(f, t) for f, many in WRONG.items() for t in many])
def test_wrong_input_is_told_keeps_what_was_typed_and_changes_nothing(
    client, technician, version, field, typed
):
    client.force_login(technician)
    answer = post(client, version, **{field: typed})
    assert answer.status_code == 422
    assert (LeachTest.objects.count(), LeachResult.objects.count()) == (0, 0)
    form = answer.context["form"]
    assert form.errors
    page = answer.content.decode()
    if field != "clay":
        assert 'value="buff stoneware"' in page
    assert 'value="180"' in page


def test_without_a_result_nothing_is_recorded(client, technician, version):
    client.force_login(technician)
    none = {f"row{n}-{name}": "" for n in range(4) for name in ("value", "below")}
    answer = post(client, version, **none)
    assert answer.status_code == 422
    assert "Copy at least one result" in words_of(answer)


@pytest.mark.parametrize(
    ("changed", "sentence"),
    [
        ({"value": Decimal(-1)}, "at least 0"),
        ({"value": Decimal(0), "below": True}, "a detection limit more than 0"),
        ({"element": "Fe"}, "choose the element"),
        ({"unit": "ppm"}, "in one unit"),
        ({"unit": "mg/dm²"}, "in one unit"),
        ({"piece": 7}, "has 6 pieces"),
        ({"piece": 2}, "stands there twice"),
    ],
)
def test_the_operation_has_the_last_word_on_results(version, changed, sentence):
    first, *others = leached()
    with pytest.raises(Refused, match=sentence):
        LeachTestFactory(version=version, results=[replace(first, **changed), *others])
    assert LeachTest.objects.count() == 0


@pytest.mark.parametrize(
    ("changed", "field"),
    [
        ({"method": "lemon"}, "method"), ({"method": "other"}, "note"), ({"use": "hat"}, "use"),
        ({"limit_set": "FR"}, "limit_set"), ({"pieces": 0}, "pieces"), ({"hours": Decimal(0)}, "hours"),
        ({"depth_mm": Decimal(-1)}, "depth_mm"), ({"reported_on": date(2999, 1, 1)}, "reported_on"),
        ({"expires_on": date(2000, 1, 1)}, "expires_on"), ({"expires_on": date(2999, 1, 1)}, "expires_on"),
        ({"clay": " "}, "clay"), ({"note": "food safe"}, "note"),
    ],
)  # fmt: skip
def test_the_operation_has_the_last_word_on_the_report(version, changed, field):
    with pytest.raises(Refused) as refused:
        LeachTestFactory(version=version, report=leach_report(**changed))
    assert refused.value.field == field


def test_no_result_and_too_many_are_refused(version):
    many = [TypedResult(piece=n, element="Pb", value=Decimal(1), unit="mg/L") for n in range(1, 122)]
    for results in ([], many):
        with pytest.raises(Refused):
            LeachTestFactory(version=version, results=results)
