"""Reporting by one tap, as anybody; a technician's page of it; the answer that reaches people."""

import html
import re
from datetime import timedelta
from uuid import uuid4

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext
from django.utils import timezone

from buckets.calc.causes import CAUSES, Evidence, order_to_look
from buckets.models import Fill, HeldByLot, LotHold, Report, Use
from buckets.operations import care
from buckets.operations.fills import empty_fill
from buckets.operations.reports import answer_report, report
from studio.materials.models import Lot
from studio.people.models import Entry, Member, Notice
from studio.room.operations.policy import set_policy
from tests import factories
from tests.buckets import scenario_e
from tests.buckets.rows import in_use

pytestmark = pytest.mark.django_db
MODELS = (Report, Entry, LotHold, HeldByLot, Notice)


def text(answer) -> str:
    bare = re.sub(r"<svg.*?</svg>|<[^>]+>", " ", answer.content.decode(), flags=re.S)
    return re.sub(r"\s+", " ", html.unescape(bare).replace("\xa0", " ").replace("\u202f", " "))


def tap(client, fill, **said):
    address = f"/shelf/{fill.vessel.code}/report/"
    return client.post(address, {"fill": fill.pk, "key": uuid4(), **said})


# --- edge case 49: contamination reported by anyone, also anonymously on the room's tablet


def test_reported_by_anyone_it_is_held_at_once_its_users_are_told_and_a_false_alarm_costs_nothing(
    client, technician, member, helper
):
    fill = in_use()
    care.log_use(fill=fill, volume_l=1, pieces=3, by=member, at=timezone.now() - timedelta(days=2))
    care.log_use(fill=fill, volume_l=1, pieces=3, by=helper, at=timezone.now() - timedelta(days=9))
    assert tap(client, fill, kind="specks").status_code == 303
    row = Report.objects.get()
    fill.refresh_from_db()
    assert (row.by, row.kind, row.words, fill.held) == (None, "specks", "", True)
    assert Member.objects.get(pk=member.pk).unread == 1
    assert Member.objects.get(pk=helper.pk).unread == 0
    answer_report(report=row, answer="only sand", decision="false alarm", by=technician)
    fill.refresh_from_db()
    assert (fill.held, fill.state, fill.tinted) == (False, "in use", False)
    assert Member.objects.get(pk=member.pk).unread == 2


@pytest.mark.parametrize("kind", Report.Kind.values)
def test_each_kind_is_one_tap(client, technician, kind):
    fill = in_use()
    page = client.get("/shelf/B02/report/").content.decode()
    assert f'name="kind" value="{kind}"' in page
    assert tap(client, fill, kind=kind).status_code == 303
    assert Report.objects.get().kind == kind


def test_kind_and_words_stand_together(client, technician, member):
    client.force_login(member)
    tap(client, in_use(), kind="specks", words="blue, near the rim")
    page = text(client.get("/shelf/B02/"))
    assert "specks, “blue, near the rim”" in page


def test_a_report_on_the_page_takes_photos_without_script(client, technician):
    in_use()
    page = client.get("/shelf/B02/report/").content.decode()
    assert 'enctype="multipart/form-data"' in page
    assert 'capture="environment"' in page
    assert page.count('accept="image/jpeg,image/png,image/webp"') == 2


# --- strangers are slowed down, never silenced


def many(client, count: int):
    answers = []
    for number in range(count):
        fill = in_use(f"B{number + 10}")
        answers.append(tap(client, fill, kind="smell", words=f"number {number}"))
    return answers


def test_beyond_the_limit_a_stranger_is_sent_to_a_technician_and_what_they_typed_stays(client, technician):
    set_policy(name="strangers_reports_per_hour", value=2, by=technician)
    *first, last = many(client, 3)
    assert [answer.status_code for answer in first] == [303, 303]
    assert last.status_code == 422
    assert "tell a technician now" in text(last)
    assert "number 2" in text(last)
    assert Report.objects.count() == 2
    assert not Fill.objects.get(vessel__code="B12").held


def test_somebody_signed_in_is_not_counted_and_another_address_counts_for_itself(
    client, client_factory, technician, member
):
    set_policy(name="strangers_reports_per_hour", value=1, by=technician)
    assert many(client, 1)[0].status_code == 303
    fill, other = in_use("B30"), in_use("B31")
    elsewhere = client_factory(REMOTE_ADDR="198.51.100.7")
    assert tap(elsewhere, fill, kind="lumps").status_code == 303
    client.force_login(member)
    assert tap(client, other, kind="lumps").status_code == 303


def test_an_hour_later_a_stranger_counts_anew_and_no_address_is_kept(client, technician):
    set_policy(name="strangers_reports_per_hour", value=1, by=technician)
    many(client, 1)
    row = Report.objects.get()
    assert "127.0.0.1" not in row.sender
    Report.objects.update(at=timezone.now() - timedelta(hours=2))
    assert tap(client, in_use("B30"), kind="lumps").status_code == 303


def test_sent_twice_by_a_stranger_it_is_one_report(client, technician):
    set_policy(name="strangers_reports_per_hour", value=1, by=technician)
    fill, key = in_use(), uuid4()
    said = {"fill": fill.pk, "key": key, "kind": "specks"}
    assert [client.post("/shelf/B02/report/", said).status_code for _ in range(2)] == [303, 303]
    assert Report.objects.count() == 1


# --- the technician's page


def test_the_page_shows_window_uses_order_and_where_it_came_from(client, technician):
    now = timezone.now()
    room = scenario_e.room(now)
    row = report(fill=room["B04"], kind="specks", at=now)
    client.force_login(technician)
    page = text(client.get(f"/shelf/B04/reports/{row.pk}/"))
    for said in (
        "Good: tile dipped",
        "3 logs, 7 pieces",
        "2 logs, 3 pieces",
        "inform, low risk",
        "Logs are incomplete: tell the room, too",
        "Another glaze fell in",
        "not of B05",
        "FL-07",
        "not a chance",
        "answer within 2 days",
    ):
        assert said in page
    assert (
        page.index("Another glaze fell in") < page.index("A lot that differs") if "A lot that" in page else 1
    )
    assert "%" not in page[page.index("Order to look") : page.index("Where it came from")]


def test_the_worst_case_on_its_page(client, technician):
    now = timezone.now()
    room = scenario_e.room(now)
    Fill.objects.filter(pk=room["B04"].pk).update(particle_density="2.649")
    recipe = scenario_e.slate_hour().recipe
    row = report(fill=room["B04"], kind="specks", at=now)
    client.force_login(technician)
    address = f"/shelf/B04/reports/{row.pk}/worst-case/"
    assert client.get(address).status_code == 200
    asked = {"recipe": recipe.pk, "foreign_l_0": "250", "foreign_l_1": "mL", "foreign_sg": "1,46"}
    asked |= {"volume_l_0": "8.10", "volume_l_1": "L", "sg": "1.418"}
    before = Entry.objects.count()
    page = text(client.get(address, asked))
    for said in (
        "3.27 %",
        "184 g",
        "5 623 g",
        "8.35 L",
        "1.4193",
        "0.024 %",
        "4.3062 %",
        "4.2133 %",
        "no food-surface claim",
    ):
        assert said in page, said
    assert Entry.objects.count() == before


@pytest.mark.parametrize(
    ("change", "field", "sentence"),
    [
        ({"recipe": ""}, "recipe", "Which glaze"),
        ({"recipe": "999999"}, "recipe", "no such recipe"),
        ({"recipe": "x"}, "recipe", "no such recipe"),
        ({"foreign_l_0": ""}, "foreign_l", "How much may it have been"),
        ({"foreign_l_0": "0"}, "foreign_l", "more than 0"),
        ({"foreign_l_0": "-1"}, "foreign_l", "more than 0"),
        ({"foreign_l_0": "some"}, "foreign_l", "not a number"),
        ({"foreign_l_0": "101", "foreign_l_1": "L"}, "foreign_l", "at most 100"),
        ({"foreign_l_1": "pint"}, "foreign_l", "Choose one from the list"),
        ({"foreign_sg": "1"}, "foreign_sg", "more than 1"),
        ({"foreign_sg": "thick"}, "foreign_sg", "not a number"),
        ({"foreign_sg": "nan"}, "foreign_sg", "not a number"),
        ({"volume_l_0": ""}, "volume_l", "How much was in it"),
        ({"volume_l_0": "9" * 60}, "volume_l", ""),
        ({"sg": ""}, "sg", "What is the specific gravity"),
        ({"sg": "145"}, "sg", "at most 3"),
        ({"sg": "0.9"}, "sg", "more than 1"),
        ({"sg": "2.9"}, "sg", "No slurry of these two powders"),
    ],
)
def test_a_wrong_number_in_the_worst_case_is_answered_beside_its_field(
    client, technician, change, field, sentence
):
    fill = in_use()
    row = report(fill=fill, kind="specks")
    client.force_login(technician)
    asked = {"recipe": fill.recipe_id, "foreign_l_0": "250", "foreign_l_1": "mL", "foreign_sg": "1.46"}
    asked |= {"volume_l_0": "8", "volume_l_1": "L", "sg": "1.42"}
    answer = client.get(f"/shelf/B02/reports/{row.pk}/worst-case/", {**asked, **change})
    assert answer.status_code == 422
    assert sentence in " ".join(answer.context["form"].errors[field]).replace("\xa0", " ")


TABLE = [
    ("report", {"kind": "", "words": ""}, "words", "Tap what it is"),
    ("report", {"words": "   "}, "words", "what looks wrong"),
    ("report", {"kind": "poison"}, "kind", "Choose one of these"),
    ("report", {"kind": "Specks"}, "kind", "Choose one of these"),
    ("report", {"kind": "x" * 400}, "kind", "Choose one of these"),
    ("report", {"kind": "<script>"}, "kind", "Choose one of these"),
    ("report", {"kind": "other\0"}, "kind", "cannot be kept"),
    ("report", {"words": "a\0b"}, "words", "cannot be kept"),
    ("report", {"words": "w" * 401}, "words", "at most 400 letters"),
    ("answer", {"answer": "", "decision": "tinted"}, "answer", "Say what was found"),
    ("answer", {"answer": "  ", "decision": "tinted"}, "answer", "Say what was found"),
    ("answer", {"answer": "a" * 401, "decision": "tinted"}, "answer", "at most 400"),
    ("answer", {"answer": "a\0", "decision": "tinted"}, "answer", "cannot be kept"),
    ("answer", {"answer": "fine"}, "decision", "What is to become of it"),
    ("answer", {"answer": "fine", "decision": "lift"}, "decision", "What is to become of it"),
    ("answer", {"answer": "fine", "decision": "TINTED"}, "decision", "What is to become of it"),
    ("answer", {"answer": "fine", "decision": "x" * 200}, "decision", "What is to become of it"),
    ("answer", {"answer": "fine", "decision": "0"}, "decision", "What is to become of it"),
    ("doubt", {"good_until": ""}, "good_until", "When was it surely good"),
    ("doubt", {"good_until": "yesterday"}, "good_until", "like 2026-04-07 09:00"),
    ("doubt", {"good_until": "2026-13-01 09:00"}, "good_until", "like 2026-04-07 09:00"),
    ("doubt", {"good_until": "2026-04-07T25:00"}, "good_until", "like 2026-04-07 09:00"),
    ("doubt", {"good_until": "9" * 60}, "good_until", "like 2026-04-07 09:00"),
    ("doubt", {"good_until": "2999-01-01 09:00"}, "good_until", "after the report"),
    ("doubt", {"good_until": "1999-01-01 09:00"}, "good_until", "before"),
    ("doubt", {"good_until": "1999-01-01 09:00", "good_why": "w" * 201}, "good_why", "At most 200"),
]


@pytest.mark.parametrize(("what", "said", "field", "sentence"), TABLE)
def test_wrong_input_is_answered_beside_its_field_and_writes_nothing(
    client, technician, what, said, field, sentence
):
    fill = in_use()
    row = report(fill=fill, words="specks")
    before = [model.objects.count() for model in MODELS]
    client.force_login(technician)
    address = "/shelf/B02/report/" if what == "report" else f"/shelf/B02/reports/{row.pk}/{what}/"
    answer = client.post(address, {"fill": fill.pk, "key": uuid4(), **said})
    assert answer.status_code == 422
    assert sentence in " ".join(answer.context["form"].errors[field]).replace("\xa0", " ")
    page = html.unescape(answer.content.decode())
    # a kind and a decision are tapped, not typed
    typed = [value for name, value in said.items() if name not in ("kind", "decision")]
    assert all(value.strip().replace("\0", "\ufffd") in page for value in typed)
    assert [model.objects.count() for model in MODELS] == before


LOTS = [
    ("hold", {"reason": ""}, "reason", "Say why the lot"),
    ("hold", {"reason": "   "}, "reason", "Say why the lot"),
    ("hold", {"reason": "r" * 141}, "reason", "At most 140"),
    ("hold", {"reason": "a\0b"}, "reason", "cannot be kept"),
    ("hold", {"reason": "wrong grade"}, None, "No bucket with lot"),
    ("hold", {}, "reason", "Say why the lot"),
    ("lift", {"decision": ""}, "decision", "Say what was found"),
    ("lift", {"decision": "   "}, "decision", "Say what was found"),
    ("lift", {"decision": "d" * 401}, "decision", "at most 400"),
    ("lift", {"decision": "a\0b"}, "decision", "cannot be kept"),
    ("lift", {"decision": "fine"}, None, "No bucket is held"),
    ("lift", {}, "decision", "Say what was found"),
]


@pytest.mark.parametrize(("what", "said", "field", "sentence"), LOTS)
def test_wrong_input_about_a_lot_writes_nothing(client, technician, what, said, field, sentence):
    factories.LotFactory(code="SI-99")
    before = [model.objects.count() for model in MODELS]
    client.force_login(technician)
    answer = client.post(f"/shelf/lots/SI-99/{what}/", {"key": uuid4(), **said})
    assert answer.status_code == 422
    assert sentence in " ".join(answer.context["form"].errors[field or "__all__"])
    assert [model.objects.count() for model in MODELS] == before


def test_the_pages_answer_set_the_window_hold_and_lift(client, technician):
    room = scenario_e.room()
    row = report(fill=room["B04"], kind="specks")
    client.force_login(technician)
    at = f"/shelf/B04/reports/{row.pk}"
    day = timezone.localtime(row.at - timedelta(days=1)).strftime("%Y-%m-%dT%H:%M")
    assert client.post(f"{at}/doubt/", {"key": uuid4(), "good_until": day}).status_code == 303
    row.refresh_from_db()
    assert timezone.localtime(row.good_until).strftime("%Y-%m-%dT%H:%M") == day
    said = {"key": uuid4(), "answer": "specks stay on the mesh", "decision": "tinted"}
    assert client.post(f"{at}/answer/", said).status_code == 303
    assert "Tinted: foreign glaze may be in it" in text(client.get("/shelf/B04/"))
    tint = {"key": uuid4(), "fill": room["B04"].pk, "decision": "tile and reading are good"}
    assert client.post("/shelf/B04/not-tinted/", tint).status_code == 303
    assert "Tinted" not in text(client.get("/shelf/B04/")).split("Story of this fill")[0]
    page = text(client.get("/shelf/lots/FL-07/"))
    assert "B04" in page
    assert "Hold all 2 of them" in page
    assert "B05 Rockpool" in text(client.get("/shelf/lots/FL-07/hold/"))
    hold = {"key": uuid4(), "reason": "wrong grade"}
    assert client.post("/shelf/lots/FL-07/hold/", hold).status_code == 303
    assert "Lift it for all of them" in text(client.get("/shelf/lots/FL-07/"))
    lift = {"key": uuid4(), "decision": "the grade is right"}
    assert client.post("/shelf/lots/FL-07/lift/", lift).status_code == 303
    assert not Fill.objects.filter(held_at__isnull=False, emptied_at=None).exists()


def test_to_be_retired_it_stays_held_and_the_next_page_is_emptying_it(client, technician):
    fill = in_use()
    row = report(fill=fill, kind="smell")
    client.force_login(technician)
    said = {"key": uuid4(), "answer": "rotten through", "decision": "retire"}
    answer = client.post(f"/shelf/B02/reports/{row.pk}/answer/", said)
    assert answer.url == "/shelf/B02/empty/"
    fill.refresh_from_db()
    assert fill.held_reason == "to be retired: smell"
    empty_fill(fill=fill, why="to the waste drum", by=technician)
    row.refresh_from_db()
    assert row.held_until is not None
    assert "Held for" in text(client.get(f"/shelf/B02/reports/{row.pk}/"))


def test_names_of_users_are_for_technicians_alone(client, member, technician):
    now = timezone.now()
    room = scenario_e.room(now)
    row = report(fill=room["B04"], kind="specks", at=now)
    client.force_login(member)
    assert client.get(f"/shelf/B04/reports/{row.pk}/").status_code == 403
    assert "Marek" not in text(client.get("/shelf/lots/FL-07/"))
    client.force_login(technician)
    assert "Marek" in text(client.get("/shelf/lots/FL-07/"))


def test_the_reporter_reads_the_answer(client, member, technician):
    row = report(fill=in_use(), kind="smell", by=member)
    answer_report(report=row, answer="gum, stirred out", decision="put right", by=technician)
    client.force_login(member)
    page = text(client.get("/people/notices/"))
    assert "Your report on B02 Gannet White: it is put right and released. “gum, stirred out”" in page


def test_late_reports_say_so(client, technician):
    fill = in_use()
    report(fill=fill, kind="smell", at=timezone.now() - timedelta(days=4))
    client.force_login(technician)
    assert "Late: nobody has answered yet, open for 4 days" in text(client.get("/"))
    row = Report.objects.get()
    assert "late: open for 4 days, answer within 2 days" in text(client.get(f"/shelf/B02/reports/{row.pk}/"))


def test_a_report_of_today_is_open_for_less_than_a_day_and_says_what_to_do(client, technician):
    row = report(fill=in_use(), kind="smell")
    client.force_login(technician)
    page = text(client.get(f"/shelf/B02/reports/{row.pk}/"))
    assert "open for less than a day, answer within 2 days" in page
    assert "Put tape over the lid." in page


@pytest.mark.parametrize("kind", Report.Kind.values)
def test_the_page_of_a_report_costs_the_same_however_long_the_history(client, technician, kind):
    room = scenario_e.room()
    row = report(fill=room["B04"], kind=kind)
    client.force_login(technician)
    address = f"/shelf/B04/reports/{row.pk}/"

    def cost() -> int:
        with CaptureQueriesContext(connection) as asked:
            assert client.get(address).status_code == 200
        return len(asked)

    cost()
    short = cost()
    times = [row.at - timedelta(hours=number + 1) for number in range(60)]
    Use.objects.bulk_create(Use(fill=row.fill, volume_l=0, pieces=1, by=technician, at=at) for at in times)
    assert cost() == short <= 12


# --- the order to look in


def test_worked_order_of_the_reference():
    """Foreign glaze true, lot false, the rest unknown: 12, 3, 3, 1 (application.md 5: prior x m)."""
    order = order_to_look(
        causes=CAUSES["specks"],
        evidence={"foreign_glaze": Evidence("true"), "lot_change": Evidence("false")},
    )
    assert [(row.cause.id, row.score) for row in order.ranked] == [
        ("foreign_glaze", 12),
        ("bisque_or_kiln_crumbs", 3),
        ("unsieved_colourant", 3),
        ("lot_change", 1),
    ]
    assert order.enough


def test_fewer_than_two_known_rows_are_not_enough():
    order = order_to_look(causes=CAUSES["specks"], evidence={"foreign_glaze": Evidence("true")})
    assert not order.enough


def test_of_a_new_glaze_the_batch_is_looked_at_first():
    old, new = (order_to_look(causes=CAUSES["specks"], evidence={}, new_glaze=new) for new in (False, True))
    assert [row.cause.side for row in old.ranked] == ["U", "W", "B", "B"]
    assert [row.cause.side for row in new.ranked] == ["U", "B", "B", "W"]


def test_a_lot_that_is_in_no_bucket_is_shown_as_such(client, member):
    factories.LotFactory(code="SI-99")
    client.force_login(member)
    page = text(client.get("/shelf/lots/SI-99/"))
    assert "No bucket has a share of it" in page
    assert Lot.objects.filter(code="SI-99").exists()
