"""Spills: what to do comes first, one tap reports it, technicians and managers read it and close it.

Words and places are invented.
"""

import html
from datetime import timedelta
from uuid import uuid4

import pytest
from django.db import connection, transaction
from django.test.utils import CaptureQueriesContext
from django.urls import reverse
from django.utils import timezone

from safety.models import Aftermath, Incident
from safety.operations.incidents import add_to_spill, report_injury, report_spill
from studio import triggers
from studio.errors import KeyUsedOtherwise, NotAllowed, Refused
from studio.front import proof
from studio.front.due import due
from studio.people.models import Counter, Entry
from studio.room.steps import progress
from tests import factories
from tests.api.asking import program
from tests.safety.sheet_rows import filed, quartz

pytestmark = pytest.mark.django_db
SECTIONS = {4: "Fresh air; see a doctor if unwell.", 6: "Wet it and take it up; keep it out of drains."}


def text(answer) -> str:
    return " ".join(html.unescape(answer.content.decode()).replace("\xa0", " ").split())


def lines() -> list[str]:
    return [row.what for row in due(timezone.now(), progress())]


# --- reporting ------------------------------------------------------------------------------------------


def test_any_page_leads_to_it_and_one_more_tap_reports_it(client, member):
    client.force_login(member)
    assert f'href="{reverse("report-spill")}"' in client.get(reverse("shelf")).content.decode()
    page = client.get(reverse("report-spill")).content.decode()
    assert 'name="kind" value="dry powder"' in page
    answer = client.post(reverse("report-spill"), {"kind": "dry powder", "key": uuid4()}, follow=True)
    row = Incident.objects.get()
    assert (row.kind, row.what, row.by, row.number) == ("spill", "Dry powder.", member, 1)
    assert "Reported as N001. A technician is told." in text(answer)


def test_what_to_do_stands_before_the_report(client, member):
    client.force_login(member)
    page = text(client.get(reverse("report-spill")))
    order = [
        "Out of the dust.", "Wet cleaning only.", "Never sweep, never brush dry, never blow.",
        'name="kind"', "consult the safety data sheet, local rules and a qualified person",
    ]  # fmt: skip
    places = [page.lower().find(words.lower()) for words in order]
    assert -1 not in places
    assert places == sorted(places)


def test_the_sheets_own_words_are_one_tap_away(client, member):
    silica = filed("Silica", quartz("99"), sections=SECTIONS).material
    client.force_login(member)
    page = client.get(reverse("report-spill")).content.decode()
    assert f'<option value="{silica.pk}">Silica</option>' in page
    page = text(client.get(reverse("report-spill"), {"material": silica.pk}))
    assert SECTIONS[6] in page
    assert SECTIONS[4] in page
    assert page.index(SECTIONS[6]) < page.index(SECTIONS[4])
    page = text(client.get(reverse("report-injury"), {"material": silica.pk}))
    assert page.index(SECTIONS[4]) < page.index(SECTIONS[6])


@pytest.mark.parametrize("asked", ["", "x", "0", "-1", "999999", "9" * 40, "١", "1 OR 1", "<b>"])
def test_a_material_that_is_not_there_leaves_the_page_as_it_is(client, member, asked):
    client.force_login(member)
    for name in ("report-spill", "report-injury"):
        answer = client.get(reverse(name), {"material": asked})
        assert answer.status_code == 200
        assert answer.context["material"] is None


def test_a_material_without_a_sheet_is_hazardous_dust(client, member):
    talc = factories.MaterialFactory(name="Talc")
    client.force_login(member)
    page = text(client.get(reverse("report-spill"), {"material": talc.pk}))
    assert "No words of a sheet on this are on file. Treat it as hazardous dust" in page


def test_the_rooms_tablet_reports_without_a_name(client):
    client.force_login(factories.the_room())
    assert client.post(reverse("report-spill"), {"kind": "wet glaze", "key": uuid4()}).status_code == 303
    assert Incident.objects.get().by.is_room


def test_a_stranger_is_asked_to_sign_in(client):
    assert client.post(reverse("report-spill"), {"kind": "wet glaze"}).status_code == 302
    assert not Incident.objects.exists()


def test_technicians_and_managers_are_told_and_members_are_not(member, technician, manager):
    report_spill(what="Dry powder.", by=member)
    told = {person.name: [row.words for row in person.notices.all()] for person in (technician, manager)}
    assert told == {"Bram": ["A spill was reported: N001."], "Odile": ["A spill was reported: N001."]}
    assert not member.notices.exists()


def test_the_same_key_is_one_spill_and_other_words_are_refused(member):
    key = uuid4()
    told = {
        "what": "Dry powder.",
        "place": "by the scale",
        "by": member,
        "key": key,
        "raw": "kind=dry powder",
    }
    assert report_spill(**told) == report_spill(**told)
    assert Incident.objects.count() == 1
    for other in ({"what": "Wet glaze."}, {"place": "at the sink"}):
        with pytest.raises(KeyUsedOtherwise):
            report_spill(**{**told, **other})
    with pytest.raises(KeyUsedOtherwise):
        report_injury(**told)
    assert Incident.objects.count() == 1


def test_the_journal_keeps_that_it_was_reported_and_none_of_its_words(member):
    row = report_spill(what="About a cup of silica", place="by the scale", by=member, raw="words=About a cup")
    entry = Entry.objects.get(result_id=row.pk, result_kind="safety.incident")
    assert (entry.act, entry.by) == ("incident reported", member)
    assert "cup" not in str(entry.content)
    assert "scale" not in str(entry.content)


# --- reading, adding, closing ---------------------------------------------------------------------------


@pytest.mark.parametrize("name", ["spills", "spill", "add-to-spill"])
def test_only_technicians_and_managers_read_it(client, member, helper, technician, manager, name):
    row = factories.SpillFactory()
    address = reverse(name, args=[] if name == "spills" else [row.number])
    for person, status in ((member, 403), (helper, 403), (technician, 200), (manager, 200)):
        client.force_login(person)
        answer = client.get(address)
        assert answer.status_code == status
        assert (row.what in text(answer)) == (status == 200 and name != "add-to-spill")


def test_it_is_added_to_and_closed_and_what_was_written_stays(client, technician):
    row = factories.SpillFactory()
    client.force_login(technician)
    address = reverse("add-to-spill", args=[row.number])
    client.post(address, {"what": "wiped up wet, bagged", "key": uuid4()})
    assert f"Spill {row}: open" in lines()
    answer = client.post(address, {"what": "lid mended", "closes": "on", "key": uuid4()}, follow=True)
    page = text(answer)
    for words in (row.what, "wiped up wet, bagged", "lid mended", "closed it", "Added, and closed."):
        assert words in page
    assert f"Spill {row}: open" not in lines()
    assert text(client.get(reverse("spills"))).count(str(row)) == 0
    assert str(row) in text(client.get(reverse("spills"), {"shown": "all"}))


def test_added_to_again_it_is_open_again(technician):
    row = factories.SpillFactory()
    add_to_spill(spill=row, what="wiped up", closes=True, by=technician)
    assert f"Spill {row}: open" not in lines()
    add_to_spill(spill=row, what="more found under the shelf", by=technician)
    assert f"Spill {row}: open" in lines()


def test_a_member_or_helper_does_not_add(member, helper):
    row = factories.SpillFactory()
    for person in (member, helper, None):
        with pytest.raises(NotAllowed):
            add_to_spill(spill=row, what="done", by=person)
    assert not Aftermath.objects.exists()


def test_an_injury_is_no_spill_to_be_added_to(technician):
    injury = factories.InjuryFactory()
    with pytest.raises(Incident.DoesNotExist):
        add_to_spill(spill=injury, what="done", by=technician)


def test_the_list_stays_as_cheap_as_it_grows(client, technician):
    client.force_login(technician)

    def queries() -> int:
        with CaptureQueriesContext(connection) as caught:
            assert client.get(reverse("spills")).status_code == 200
        return len(caught)

    factories.SpillFactory()
    few = queries()
    for _ in range(60):
        factories.SpillFactory()
    assert queries() == few <= 12
    assert "N011" not in text(client.get(reverse("spills")))
    assert "N011" in text(client.get(reverse("spills"), {"page": "2"}))


@pytest.mark.parametrize("page", ["", "0", "-1", "x", "9" * 20, "1.5", "<b>"])
def test_a_page_that_is_none_is_the_first_or_empty(client, technician, page):
    factories.SpillFactory()
    client.force_login(technician)
    assert client.get(reverse("spills"), {"page": page}).status_code == 200


def test_a_program_reports_reads_and_closes(member, technician):
    told = program(member).did("spills/report-spill/", {"kind": "wet glaze", "place": "table 3"})
    assert (set(told), told["number"]) == ({"number", "at", "entered_at"}, 1)
    assert program(member).get("spills/").status_code == 403
    bram = program(technician)
    assert [row["place"] for row in bram.told("spills/", closed="no")["results"]] == ["table 3"]
    bram.did("spills/1/add-to-spill/", {"what": "taken up", "closes": True})
    row = bram.told("spills/1/")
    assert (row["closed"], [one["what"] for one in row["aftermath"]]) == (True, ["taken up"])
    assert bram.told("spills/", closed="no")["results"] == []


# --- wrong input ----------------------------------------------------------------------------------------

TEXTS = (("words", 1900), ("done", 1000), ("place", 60))
WRONG = [
    (name, typed, "cannot be kept" if "\0" in typed else "At most")
    for name, longest in TEXTS
    for typed in ("t" * (longest + 1), "ü" * (longest + 1), "t" * 9000, "\0", "dust\0", "\0dust")
]
WRONG += [
    ("kind", said, "Choose one") for said in ("x", "Dry powder", "dry", "1", "dry powder,wet glaze", "<b>")
]
WRONG += [("material", said, "Choose") for said in ("x", "0", "-1", "999999", "9" * 30, "<b>")]
WRONG += [
    ("happened_at", said, "day and time like")
    for said in ("yesterday", "2026-02-30 09:00", "25:00", "12", "2026-04-07 9h", "<b>")
]
WRONG += [
    ("happened_at", (timezone.now() + timedelta(days=2)).isoformat(), "still to come"),
    ("happened_at", "2001-01-01 09:00", "more than a year back"),
    ("words", "", "Tap what it is"),
    ("words", "   ", "Tap what it is"),
    ("words", "\n\t", "Tap what it is"),
]


@pytest.mark.parametrize("name", ["report-spill", "report-injury"])
@pytest.mark.parametrize(("field", "typed", "says"), WRONG)
def test_a_wrong_report_is_told_beside_its_field_and_writes_nothing(client, member, name, field, typed, says):
    client.force_login(member)
    sent = {"words": "about a cup", "place": "by the scale", "done": "wiped wet", field: typed}
    before = Entry.objects.count()
    answer = client.post(reverse(name), {**sent, "key": uuid4()})
    assert answer.status_code == 422
    said = answer.context["form"].errors[field]
    assert any(says in sentence for sentence in said), said
    page = text(answer)
    assert said[0] in page
    kept = {"words": "about a cup", "place": "by the scale", "done": "wiped wet"}
    assert all(typed_ in page for other, typed_ in kept.items() if other != field)
    assert (Incident.objects.count(), Entry.objects.count()) == (0, before)


@pytest.mark.parametrize(
    ("typed", "says"),
    [
        ("", "Say what became of it"),
        ("   ", "Say what became of it"),
        ("\n", "Say what became of it"),
        ("w" * 2001, "At most"),
        ("w" * 20000, "At most"),
        ("\0", "cannot be kept"),
        ("done\0", "cannot be kept"),
    ],
)
@pytest.mark.parametrize("kind", ["spill", "injury"])
def test_a_wrong_word_of_what_became_of_it_is_told_beside_it(client, manager, kind, typed, says):
    row = factories.SpillFactory() if kind == "spill" else factories.InjuryFactory()
    client.force_login(manager)
    before = Entry.objects.count()
    answer = client.post(reverse(f"add-to-{kind}", args=[row.number]), {"what": typed, "key": uuid4()})
    assert answer.status_code == 422
    assert says in answer.context["form"].errors["what"][0]
    assert (Aftermath.objects.count(), Entry.objects.count()) == (0, before)


def test_the_act_itself_refuses_what_no_form_would_send(member):
    for told in ({"what": " "}, {"what": "w" * 2001}, {"what": "dust", "place": "p" * 61}):
        with pytest.raises(Refused):
            report_spill(**told, by=member)
    with pytest.raises(Refused, match="still to come"):
        report_spill(what="dust", by=member, at=timezone.now() + timedelta(hours=1))
    assert not Incident.objects.exists()


def test_prove_says_when_a_number_is_missing_or_was_not_counted():
    for _ in range(3):
        factories.SpillFactory()
    assert not proof.problems()
    with transaction.atomic():
        with triggers.lifted():
            Incident.objects.get(number=2).delete()
        Counter.objects.filter(name="spill").update(last=2)
        said = " ".join(str(problem) for problem in proof.problems())
        transaction.set_rollback(True)
    assert "2 are on record, but 3 is the last number" in said
    assert "counter spill" in said
