"""Printed labels onto paper: chosen stock, first free place, lid strips, fold; what is chosen wrongly."""

import io

import pypdf
import pytest
from django.urls import reverse

from safety.models import Label
from safety.operations.stocks import add_stock, retire_stock
from studio.people.models import Counter
from tests.safety.label_rows import cup, pail, tub
from tests.safety.test_stocks import SIX

pytestmark = pytest.mark.django_db


def kept(rows: list[Label]) -> list[Label]:
    """As if printed here and void since: what they are on is not in this studio."""
    for number, row in enumerate(rows, 1):
        row.on_kind, row.on_id = "buckets.cup", number
        row.state, row.void_at = Label.State.VOID, row.printed_at
    Counter.objects.update_or_create(
        name="label", defaults={"last": max(int(row.serial[1:]) for row in rows)}
    )
    return Label.objects.bulk_create(rows)


@pytest.fixture
def three(technician):
    return kept([pail(), cup(), tub()])


@pytest.fixture
def stock(technician):
    return add_stock(name="six on A4", **{**SIX, "height_mm": 91, "width_mm": 99}, by=technician)


@pytest.fixture
def of(client, technician):
    client.force_login(technician)

    def open_(serials, **asked):
        return client.get(reverse("label-sheet", args=[serials]), asked)

    return open_


def pages(answer) -> list:
    assert answer["Content-Type"] == "application/pdf", answer.content.decode()[:3000]
    return list(pypdf.PdfReader(io.BytesIO(answer.content)).pages)


def test_the_three_come_in_one_pdf_each_on_pages_of_its_size(of, three):
    found = pages(of("Q4168,Q4169,Q4170"))
    wide = [round(float(page.mediabox.width) / 72 * 25.4) for page in found]
    assert set(wide) == {148, 62}
    assert wide == sorted(wide, reverse=True)


def test_strips_and_folds_are_asked_for(of, three):
    plain = len(pages(of("Q4168,Q4169,Q4170")))
    assert len(pages(of("Q4168,Q4169,Q4170", strips="on"))) == plain + 2  # pail and tub have lids
    assert len(pages(of("Q4168,Q4169,Q4170", fold="on"))) == 3


def test_a_stock_and_its_first_free_place_are_chosen(of, three, stock):
    assert len(pages(of("Q4169", stock=stock.pk))) == 1
    assert len(pages(of("Q4169,Q4170", stock=stock.pk, start=6))) == 2


def test_200_labels_are_one_pdf_and_201_are_refused_with_the_number(of, technician):
    rows = [cup(f"Q{n:04d}", hazards={}) for n in range(1, 202)]
    kept(rows)
    serials = [row.serial for row in rows]
    assert len(pages(of(",".join(serials[:200])))) == 200
    answer = of(",".join(serials))
    assert answer.status_code == 422
    assert "At most 200 labels go into one PDF; these are 201." in answer.content.decode()


def test_the_same_serial_twice_is_printed_once(of, three):
    assert len(pages(of("Q4168,Q4168"))) == len(pages(of("Q4168")))


def test_a_void_one_says_so_on_paper(of, three):
    assert "VOID: do not stick it on" in " ".join(pages(of("Q4168"))[0].extract_text().split())


def test_before_printing_the_builder_says_what_takes_more_than_one(client, technician, three):
    client.force_login(technician)
    page = client.get(reverse("labels"), {"printed": "Q4168,Q4169"}).content.decode()
    assert page.count("belong together, each with its serial") == 2
    assert "16 mm do not fit" in page
    assert 'name="start"' in page


WRONG = [
    ({"start": "0"}, "start", "1"),
    ({"start": "-3"}, "start", "1"),
    ({"start": "401"}, "start", "400"),
    ({"start": "x"}, "start", "whole number"),
    ({"start": "1.5"}, "start", "whole number"),
    ({"start": "9" * 40}, "start", "400"),
    ({"start": "a\0"}, "start", ""),
    ({"stock": "0"}, "stock", "no such paper"),
    ({"stock": "x"}, "stock", "no such paper"),
    ({"stock": "-1"}, "stock", "no such paper"),
    ({"stock": "9" * 30}, "stock", "no such paper"),
    ({"stock": "1 or 1=1"}, "stock", "no such paper"),
    ({"stock": "a\0"}, "stock", ""),
]


@pytest.mark.parametrize(("asked", "field", "sentence"), WRONG)
def test_what_is_chosen_wrongly_is_said_beside_it(of, three, asked, field, sentence):
    answer = of("Q4169", **asked)
    assert answer.status_code == 422
    assert sentence in " ".join(answer.context["paper_form"].errors[field])
    assert f'id="id_{field}_error"' in answer.content.decode()


def test_a_place_that_the_sheet_does_not_have_is_refused_with_how_many_it_has(of, three, stock):
    answer = of("Q4169", stock=stock.pk, start=7)
    assert answer.status_code == 422
    assert "six on A4 has 6 places on a sheet." in answer.content.decode()


def test_a_retired_stock_is_not_printed_on(of, three, stock, technician):
    retire_stock(stock=stock, by=technician)
    assert of("Q4169", stock=stock.pk).status_code == 422


def test_labels_too_small_for_the_bucket_are_refused_before_anything_is_printed(of, three, technician):
    small = add_stock(name="small", paper="A4", width_mm=70, height_mm=37, columns=3, rows=8, by=technician)
    answer = of("Q4168", stock=small.pk)
    assert answer.status_code == 422
    assert "Q4168, Rockpool: This label is 70 × 37 mm" in answer.content.decode()
    assert "74 × 105 mm at least" in answer.content.decode()
