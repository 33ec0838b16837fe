"""A data sheet is filed: what it says is kept whole, a newer one replaces it, wrong input changes nothing."""

from datetime import date, timedelta
from decimal import Decimal
from uuid import uuid4

import pytest
from django.urls import reverse
from django.utils import timezone

from safety.calc.freshness import sheet_state, years_after
from safety.calc.hazards import Hazards
from safety.models import Classification, Constituent, Sheet
from safety.operations.sheets import TypedConstituent, acknowledge, cover_lot, file_sheet
from safety.sheets import sheet_states
from studio.errors import NotAllowed, Refused
from studio.materials.operations.stock import receive_lot
from studio.room import policy
from studio.room.operations.details import change_details
from tests.factories import MaterialFactory, SheetFactory, VersionFactory, bram

pytestmark = pytest.mark.django_db
GOOD = {
    "kind": "sheet", "product": "Ball clay HV", "supplier": "Tollgate Minerals", "law": "EU",
    "issued_on": "2025-03-01", "stated": "classes", "classes": "STOT RE 1", "codes": "H372", "rows": "3",
    "row0-name": "quartz", "row0-cas": "14808-60-7", "row0-low_pct": "10", "row0-high_pct": "20",
    "row0-fine_pct": "2,5", "row0-stated": "classes", "row0-classes": "stot re 1", "row0-organ": "lungs",
    "row1-name": "kaolinite", "row1-cas": "1332-58-7", "row1-high_pct": "80", "row1-stated": "not hazardous",
    "section_4": "Rinse eyes with water.", "section_6": "Mist it, wipe it.",
}  # fmt: skip


@pytest.fixture
def clay():
    return MaterialFactory(name="Ball clay")


def post(client, material, **changed):
    typed = {**GOOD, "key": str(uuid4()), **changed}
    return client.post(
        reverse("file-sheet", args=[material.pk]), {k: v for k, v in typed.items() if v is not None}
    )


def test_what_the_sheet_says_is_kept_as_it_was_typed(client, technician, clay):
    client.force_login(technician)
    assert post(client, clay, lots=[clay.lots.get().pk]).status_code == 303
    sheet = Sheet.objects.get()
    quartz, kaolinite = sheet.constituents.all()
    assert (quartz.low_pct, quartz.high_pct, quartz.fine_pct) == (Decimal(10), Decimal(20), Decimal("2.5"))
    assert Hazards.from_plain(quartz.hazards).classes == ("STOT RE 1",)
    assert kaolinite.hazards["stated"] == "not hazardous"
    assert [row.lot for row in sheet.covers.all()] == [clay.lots.get()]
    page = client.get(reverse("binder-material", args=[clay.pk])).content.decode()
    assert "Rinse eyes with water." in page
    assert "14808-60-7" in page
    assert "current" in page


def test_not_hazardous_not_stated_and_unknown_are_three_things(client, technician, clay):
    client.force_login(technician)
    post(client, clay, **{"row0-stated": "not stated", "row0-classes": ""})
    silent, harmless = (Hazards.from_plain(row.hazards) for row in Sheet.objects.get().constituents.all())
    assert (silent.stated, silent.known, bool(silent.unknown_acute)) == ("not stated", False, True)
    assert (harmless.stated, harmless.known) == ("not hazardous", True)
    assert not Hazards().known


def test_a_newer_sheet_of_the_supplier_replaces_the_older_which_is_kept(clay):
    first = SheetFactory(material=clay)
    second = SheetFactory(material=clay)
    other = SheetFactory(material=clay, supplier="Heron Ceramics")
    first = Sheet.objects.get(pk=first.pk)
    assert (first.replaced_by, first.stands, second.stands, other.replaces) == (second, False, True, None)


def test_the_word_of_the_table_ends_when_a_sheet_is_filed(client, technician):
    barium = MaterialFactory(name="Barium carbonate")
    client.force_login(technician)
    page = client.get(reverse("binder-material", args=[barium.pk])).content.decode()
    assert "513-77-9" in page
    answer = client.post(
        reverse("use-table", args=[barium.pk]), {"key": str(uuid4()), "row": "Barium carbonate"}
    )
    assert answer.status_code == 303
    table = Sheet.objects.get()
    assert (table.kind, table.constituents.get().hazards["classes"]) == ("table", ["Acute Tox. 4 (oral)"])
    assert sheet_states([barium.pk], timezone.localdate(), policy.in_force())[barium.pk].word == "missing"
    sheet = SheetFactory(material=barium)
    assert sheet.replaces == table


def test_every_glaze_with_the_material_is_classified_anew(clay):
    version = VersionFactory(name="Linseed")
    material = version.lines.first().material
    before = Classification.objects.count()
    SheetFactory(material=material)
    assert Classification.objects.count() > before


def test_a_letter_that_names_classes_is_no_letter(clay):
    with pytest.raises(Refused, match="data sheet"):
        SheetFactory(material=clay, kind="letter", hazards=Hazards(stated="classes", classes=("Lact.",)))


def test_only_who_keeps_the_binder_files(member, clay):
    with pytest.raises(NotAllowed):
        SheetFactory(material=clay, by=member)


def test_a_lot_is_covered_once_and_by_the_sheet_that_stands(clay, technician):
    old = SheetFactory(material=clay)
    sheet = SheetFactory(material=clay)
    lot = receive_lot(material=clay, code="BC-9", mass_g=1000, price_per_kg=1, by=technician)
    with pytest.raises(Refused, match="newer"):
        cover_lot(sheet=old, lot=lot, by=technician)
    cover_lot(sheet=sheet, lot=lot, by=technician)
    with pytest.raises(Refused, match="already"):
        cover_lot(sheet=sheet, lot=lot, by=technician)
    with pytest.raises(Refused, match="another material"):
        cover_lot(sheet=sheet, lot=MaterialFactory().lots.get(), by=technician)


def test_a_technician_lets_it_pass_with_a_reason_and_not_without(clay, technician):
    row = acknowledge(material=clay, what="batch 26-014", reason=" new sheet asked for ", by=technician)
    assert row.reason == "new sheet asked for"
    with pytest.raises(Refused, match="Why"):
        acknowledge(material=clay, what="batch 26-014", reason=" ", by=technician)


# --- states: the studio's own rule, 3 and 5 years

TODAY = date(2026, 4, 6)


@pytest.mark.parametrize(
    ("said", "word"),
    [
        ({"kind": None}, "missing"),
        ({"kind": "table", "issued_on": TODAY}, "missing"),
        ({"issued_on": None}, "missing"),
        ({"issued_on": date(2023, 4, 7)}, "current"),
        ({"issued_on": date(2023, 4, 6)}, "due"),
        ({"issued_on": date(2021, 4, 7)}, "due"),
        ({"issued_on": date(2021, 4, 6)}, "missing"),
        ({"issued_on": date(2015, 1, 1), "revised_on": date(2025, 1, 1)}, "current"),
        ({"issued_on": date(2026, 1, 1), "review_on": TODAY}, "due"),
        ({"issued_on": date(2026, 1, 1), "review_on": TODAY + timedelta(days=1)}, "current"),
        ({"issued_on": date(2026, 1, 1), "covers_all_lots": False}, "due"),
        ({"issued_on": date(2025, 1, 1), "changed": ("missing", "x is new", date(2025, 2, 1))}, "missing"),
        ({"issued_on": date(2025, 1, 1), "changed": ("due", "x is gone", date(2025, 2, 1))}, "due"),
    ],
)
def test_a_sheet_is_current_due_or_missing(said, word):
    facts = {"kind": "sheet", "issued_on": None, "revised_on": None, "today": TODAY, **said}
    found = sheet_state(**facts)
    assert found.word == word
    assert found.sentence.endswith(".")


def test_a_sheet_of_the_leap_day_ages_on_the_last_of_february():
    assert years_after(date(2024, 2, 29), 3) == date(2027, 2, 28)


def test_states_cost_one_query_for_any_number(django_assert_num_queries):
    materials = [MaterialFactory(name=f"Clay {n}") for n in range(6)]
    for material in materials[:3]:
        SheetFactory(material=material, issued_on=timezone.localdate())
    rules = policy.in_force()
    with django_assert_num_queries(1):
        states = sheet_states([row.pk for row in materials], timezone.localdate(), rules)
    assert {state.word for state in states.values()} == {"due", "missing"}


# --- wrong input

LONG = "x" * 300
WRONG = {
    "kind": ["", "table", "paper", "7", "SHEET", "\0"],
    "product": ["", " ", "x" * 121, LONG, "\t", "\n"],
    "supplier": ["", "  ", "x" * 81, LONG, "\t", "\n"],
    "supplier_address": ["x" * 201, LONG, "a\0b", "x" * 999, "y" * 202, "z" * 4000],
    "issued_on": ["yesterday", "31/31/2025", "2025-02-30", "2999-01-01", "0", "2025-13-01"],
    "revised_on": ["soon", "2025-00-10", "2024-01-01", "2999-01-01", "--", "1"],
    "review_on": ["never", "2025-02-30", "x", "1", "2025-1", "0000-00-00"],
    "law": ["", "FR", "eu", "0", "CLP", " "],
    "ph": ["-1", "14.1", "seven", "1e3", "7..2", "∞"],
    "stated": ["", "unknown", "yes", "0", "class", "None"],
    "classes": ["", "Toxic", "Acute Tox. 9 (oral)", "H302", "Carc 3", "x" * 401],
    "lots": ["0", "-1", "abc", "999999", "1.5", "' or 1=1"],
    "row0-name": ["", " ", "x" * 121, LONG, "\t", "\n"],
    "row0-cas": ["14808-60-8", "quartz", "1-1-1", "14808607", "14808-60", "x" * 30],
    "row0-low_pct": ["-1", "101", "some", "21", "1e9", "5 to 6"],
    "row0-high_pct": ["", "-1", "100.1", "all", "9", "1,2,3"],
    "row0-fine_pct": ["-1", "21", "fine", "101", "2..5", "nan"],
    "row0-stated": ["", "unknown", "maybe", "0", "x", "Classes"],
    "row0-classes": ["", "dusty", "STOT 1", "Skin Corr. 9", "H372", "y" * 401],
    "row0-ate_oral": ["0", "-5", "much", "1e9", "5 mg", "x"],
    "row0-m_acute": ["0", "-10", "ten", "1.5", "1e2", "10000001"],
    "row0-limits": ["Carc. 1B", "0.1", "Carc. 1B 0", "Carc. 1B 101", "Foo 1", "Carc. 1B x"],
    "row0-codes": ["x" * 201, LONG, "y" * 999, "z" * 202, "w" * 300, "v" * 1000],
}  # fmt: skip


@pytest.mark.parametrize(("field", "typed"), [(f, t) for f, many in WRONG.items() for t in many])
def test_wrong_input_is_told_keeps_what_was_typed_and_changes_nothing(client, technician, clay, field, typed):
    client.force_login(technician)
    answer = post(client, clay, **{field: typed})
    assert answer.status_code == 422
    assert Sheet.objects.count() == 0
    assert Constituent.objects.count() == 0
    form = answer.context["form"]
    assert form.errors
    _row, _, cell = field.partition("-")
    if cell:
        assert form.rows[0].errors
    page = answer.content.decode()
    assert "Mist it, wipe it." in page
    assert "kaolinite" in page


def test_more_than_all_of_it_is_refused(client, technician, clay):
    client.force_login(technician)
    answer = post(client, clay, **{"row0-low_pct": "30"} | {"row0-high_pct": "40"})
    assert answer.status_code == 422
    assert "more than 100" in answer.content.decode()


def test_more_rows_keep_what_was_typed_and_file_nothing(client, technician, clay):
    client.force_login(technician)
    answer = post(client, clay, more="1")
    assert answer.status_code == 200
    assert len(answer.context["form"].rows) == 6
    assert "Nothing is filed" not in answer.content.decode()
    assert Sheet.objects.count() == 0


def test_sent_twice_it_is_filed_once(client, technician, clay):
    client.force_login(technician)
    key = str(uuid4())
    post(client, clay, key=key)
    post(client, clay, key=key)
    assert Sheet.objects.count() == 1


@pytest.mark.parametrize("name", ["first-aid", "binder-pdf"])
def test_first_aid_and_the_binder_come_as_pdf(client, member, clay, name):
    SheetFactory(material=clay, sections={4: "Rinse eyes with water.", 6: "Mist it."})
    client.force_login(member)
    answer = client.get(reverse(name, args=[clay.pk] if name == "first-aid" else []))
    assert answer.status_code == 200
    assert answer.content.startswith(b"%PDF-")


def test_first_aid_begins_with_whom_to_call(member, technician, clay, client, monkeypatch):
    change_details(name="Quillmere", emergency="112; poison centre 0 555 01", by=technician)
    SheetFactory(material=clay, sections={4: "Rinse eyes with water."})
    monkeypatch.setattr("studio.printing.pdf_ready", lambda: False)
    client.force_login(member)
    page = client.get(reverse("first-aid", args=[clay.pk])).content.decode()
    assert page.index("112; poison centre 0 555 01") < page.index("Rinse eyes with water.")


def test_the_front_of_the_binder_begins_with_what_is_missing(client, member, clay):
    covered = MaterialFactory(name="Dolomite")
    SheetFactory(material=covered, issued_on=timezone.localdate(), lots=list(covered.lots.all()))
    client.force_login(member)
    page = client.get(reverse("binder")).content.decode()
    assert "Ball clay" in page
    assert "Dolomite" not in page


def test_a_constituent_through_the_act_is_refused_like_on_the_page(clay):
    row = TypedConstituent(name="quartz", cas="14808-60-8", high_pct=Decimal(5), hazards=Hazards())
    with pytest.raises(Refused, match="last digit"):
        file_sheet(material=clay, product="x", supplier="y", hazards=Hazards(), constituents=[row], by=bram())
