"""Label paper: sizes as a ruler measured them, where labels lie on it, what is refused."""

import io
from decimal import Decimal
from uuid import uuid4

import pypdf
import pytest
from django.urls import reverse
from zxingcpp import read_barcodes

from safety.labelling.builder import Wish, build
from safety.labelling.sheets import Grid, places
from safety.models import Stock
from safety.operations.stocks import add_stock, bring_back_stock, change_stock, retire_stock
from studio.errors import NotAllowed, Refused
from studio.people.models import Entry
from tests.safety.label_rows import DPI, Paper, cup, printed, sheet_address

pytestmark = pytest.mark.django_db
D = Decimal
# Two by three on A4, invented: 99 × 93 mm, margins 5 and 8 mm, gaps 2 and 1.5 mm.
SIX = {
    "paper": "A4", "width_mm": D(99), "height_mm": D(93), "columns": 2, "rows": 3,
    "left_mm": D(5), "top_mm": D(8), "gap_x_mm": D(2), "gap_y_mm": D("1.5"),
}  # fmt: skip
TYPED = {name: str(value) for name, value in SIX.items()} | {"name": "six on A4"}


def six(by, **more):
    return add_stock(**{"name": "six on A4", **SIX, **more}, by=by)


def grid(**more) -> Grid:
    said = {name: float(value) if isinstance(value, Decimal) else value for name, value in SIX.items()}
    return Grid(**{**said, **more})


@pytest.mark.parametrize(
    ("count", "start", "used"),
    [
        (1, 1, [[0]]),
        (6, 1, [[0, 1, 2, 3, 4, 5]]),
        (7, 1, [[0, 1, 2, 3, 4, 5], [0]]),
        (3, 5, [[4, 5], [0]]),
        (1, 6, [[5]]),
        (13, 6, [[5], [0, 1, 2, 3, 4, 5], [0, 1, 2, 3, 4, 5]]),
    ],
)
def test_a_part_used_sheet_is_begun_where_it_is_free(count, start, used):
    assert places(count, grid(), start) == used


def test_labels_lie_where_the_sheet_has_them():
    labels = [cup(f"Q{n:04d}", hazards={}) for n in range(1, 6)]  # nothing classified: one face each
    job, paper = printed(labels, Wish(grid=grid(), start=2))
    assert len(job.pages) == 1
    assert paper.size(0) == pytest.approx((210, 297), abs=0.1)
    found = {code.text[-6:-1]: code.position.top_left for code in read_barcodes(paper.picture(0))}
    quiet = 22 * 2 / 33  # two modules of a code with 29, in 22 mm; it ends 2.5 mm before the label does
    for number, (column, row) in enumerate([(1, 0), (0, 1), (1, 1), (0, 2), (1, 2)], 1):
        corner = found[f"Q{number:04d}"]
        left, top = corner.x / DPI * 25.4, corner.y / DPI * 25.4
        assert left == pytest.approx(5 + column * 101 + 99 - 2.5 - 22 + quiet, abs=0.3)
        assert top == pytest.approx(8 + row * 94.5 + 2.5 + quiet, abs=0.3)


def test_sheets_are_full_to_the_last_label_and_no_further():
    job = build([cup(f"Q{n:04d}") for n in range(200)], Wish(grid=grid(), start=4), sheet_address)
    faces = sum(len(page.items) for page in job.pages)
    assert [len(page.items) for page in job.pages][:2] == [3, 6]
    assert len(job.pages) == -(-(faces + 3) // 6)
    for page in job.pages:
        for item in page.items:
            assert item.left_mm + item.width_mm <= 210
            assert item.top_mm + item.height_mm <= 297


def test_a_roll_is_one_label_a_page():
    _, paper = printed([cup()], Wish(grid=Grid(paper="roll", width_mm=62, height_mm=100)))
    assert paper.size(0) == pytest.approx((62, 100), abs=0.1)


def test_the_test_page_has_rulers_and_outlines_true_to_size(client, technician):
    stock = six(technician)
    client.force_login(technician)
    answer = client.get(reverse("stock-test", args=[stock.pk]))
    assert answer["Content-Type"] == "application/pdf"
    paper = Paper(answer.content)
    assert len(paper) == 1
    assert paper.size(0) == pytest.approx((210, 297), abs=0.1)
    picture = paper.picture(0).convert("L")
    scale = picture.width / 210

    def dark(x_mm: float, y_mm: float) -> bool:
        x, y = round(x_mm * scale), round(y_mm * scale)
        box = picture.crop((x - 3, y - 3, x + 4, y + 4))
        return box.getextrema()[0] < 128

    assert all(dark(left, 60) for left in (5, 104, 106, 205))  # the outlines' uprights
    assert not any(dark(left, 60) for left in (30, 105, 130, 207.5))
    assert all(dark(60, top) for top in (8, 101, 102.5, 195.5))
    assert all(dark(mm, 4.5) for mm in (10, 50, 100, 200))  # long marks of the ruler
    assert not any(dark(mm + 0.5, 4.5) for mm in (10, 50, 100))
    text = paper.text(0)
    assert "six on A4: print at actual size" in text
    assert "200" in text


def test_letter_is_its_own_size(client, technician):
    stock = add_stock(
        name="letter", paper="Letter", width_mm=D(100), height_mm=D(80), columns=2, rows=3, by=technician
    )
    client.force_login(technician)
    (page,) = pypdf.PdfReader(io.BytesIO(client.get(reverse("stock-test", args=[stock.pk])).content)).pages
    assert (float(page.mediabox.width), float(page.mediabox.height)) == pytest.approx((612, 792), abs=0.5)


def test_it_is_added_changed_retired_and_back_by_the_page_with_its_story(client, technician):
    client.force_login(technician)
    key = uuid4()
    for _ in range(2):
        answer = client.post(reverse("add-stock"), {**TYPED, "key": key})
        assert answer.status_code == 303
    stock = Stock.objects.get()
    assert (stock.width_mm, stock.gap_y_mm) == (99, D("1.5"))
    page = client.get(answer.url).content.decode()
    assert "2 across, 3 down" in page
    client.post(reverse("change-stock", args=[stock.pk]), {**TYPED, "top_mm": "9,5", "key": uuid4()})
    stock.refresh_from_db()
    assert stock.top_mm == D("9.5")
    client.post(reverse("retire-stock", args=[stock.pk]), {"key": uuid4()})
    assert "retired" in client.get(reverse("stocks")).content.decode()
    client.post(reverse("bring-back-stock", args=[stock.pk]), {"key": uuid4()})
    stock.refresh_from_db()
    assert stock.retired_at is None
    assert Entry.objects.filter(about_kind="safety.stock").count() == 4


def test_a_retired_one_is_not_offered_and_not_printed_on(client, technician):
    stock = six(technician)
    retire_stock(stock=stock, by=technician)
    client.force_login(technician)
    with pytest.raises(Refused, match="retired already"):
        retire_stock(stock=stock, by=technician)
    bring_back_stock(stock=stock, by=technician)
    with pytest.raises(Refused, match="in use already"):
        bring_back_stock(stock=stock, by=technician)


@pytest.mark.parametrize("act", [add_stock, change_stock])
def test_a_member_changes_no_paper(technician, member, act):
    stock = six(technician)
    about = {} if act is add_stock else {"stock": stock}
    with pytest.raises(NotAllowed):
        act(**about, **{**SIX, "name": "other"}, by=member)


WRONG = [
    ("name", "", "Nothing is typed here"),
    ("name", "   ", "Nothing is typed here"),
    ("name", "n" * 61, "60 letters"),
    ("name", "taken", "one called taken already"),
    ("name", "TAKEN", "already"),
    ("name", "a\0b", ""),
    ("paper", "", "Choose"),
    ("paper", "A5", "Choose one"),
    ("paper", "<b>", "Choose one"),
    ("paper", "roll", "one across, one down"),
    ("paper", "letter", "Choose one"),
    ("paper", "A4 ", "Choose one"),
    ("width_mm", "", ""),
    ("width_mm", "wide", "not a number"),
    ("width_mm", "0", "at least 20 mm"),
    ("width_mm", "-99", "at least 20 mm"),
    ("width_mm", "19.9", "at least 20 mm"),
    ("width_mm", "501", "at most 500 mm"),
    ("width_mm", "103", "213 mm; the paper is 210 mm wide"),
    ("width_mm", "9" * 50, ""),
    ("width_mm", "nan", "not a number"),
    ("height_mm", "97", "302 mm; the paper is 297 mm high"),
    ("height_mm", "1e2", "not a number"),
    ("columns", "", ""),
    ("columns", "0", "1"),
    ("columns", "-1", "1"),
    ("columns", "2.5", "whole number"),
    ("columns", "51", "At most 50"),
    ("columns", "two", "whole number"),
    ("rows", "50", "the paper is 297 mm high"),
    ("left_mm", "-1", "at least 0 mm"),
    ("left_mm", "much", "not a number"),
    ("top_mm", "20", "the paper is 297 mm high"),
    ("gap_x_mm", "15", "the paper is 210 mm wide"),
    ("gap_y_mm", "−2", ""),
    ("key", "x", "lost its key"),
]


@pytest.mark.parametrize(("field", "typed", "sentence"), WRONG)
def test_wrong_sizes_say_what_is_wrong_and_nothing_is_written(client, technician, field, typed, sentence):
    add_stock(name="taken", paper="roll", width_mm=D(62), height_mm=D(100), by=technician)
    client.force_login(technician)
    before = Entry.objects.count()
    answer = client.post(reverse("add-stock"), {**TYPED, "key": uuid4(), field: typed})
    assert answer.status_code == 422
    assert Stock.objects.count() == 1
    assert Entry.objects.count() == before
    errors, page = answer.context["form"].errors, answer.content.decode()
    assert sentence in " ".join(" ".join(said) for said in errors.values()).replace("\xa0", " ")
    for name in set(errors) - {"key"}:
        assert f'id="id_{name}_error"' in page
    if field == "width_mm" and typed:
        assert f'value="{typed}"' in page
