"""A label is printed, scanned, applied, printed again; the old one opens a red page."""

from decimal import Decimal
from io import BytesIO
from uuid import uuid4

import pypdf
import pypdfium2
import pytest
import zxingcpp
from django.urls import reverse

from buckets.operations.fills import empty_fill, take_over_bucket
from buckets.operations.labels import print_bucket_label
from safety.models import Label
from safety.operations.labels import apply_label
from studio import printing
from studio.errors import NotAllowed, Refused
from tests.batches import glazes, making
from tests.factories import person

pytestmark = pytest.mark.django_db


@pytest.fixture
def bram():
    return glazes.people()[0]


@pytest.fixture
def fill(bram):
    recipe = glazes.gannet_white().recipe
    recipe.refresh_from_db()
    return take_over_bucket(
        vessel=glazes.room(), recipe=recipe, volume_l=Decimal(9), sg=Decimal("1.45"), by=bram
    )


@pytest.fixture
def label(fill, bram):
    return print_bucket_label(fill=fill, by=bram)


def pdf_of(client, label) -> bytes:
    answer = client.get(reverse("label-sheet", args=[label.serial]))
    assert answer["Content-Type"] == "application/pdf"
    return answer.content


def test_the_pdf_says_what_the_bucket_needs_to_say(client, label, bram):
    client.force_login(bram)
    text = " ".join(page.extract_text() for page in pypdf.PdfReader(BytesIO(pdf_of(client, label))).pages)
    text = " ".join(text.split())
    for said in (
        "Gannet White",
        "cone 6, oxidation",
        "version 1",
        "testing",
        "SG 1.430 to 1.470",
        "Zirconium silicate (dust)",
        "Silica (respirable silica)",
        "not yet classified",
        "No leach test on record",
        label.serial,
        "B02",
    ):
        assert said in text, said
    assert "food" not in text.lower()


def test_the_qr_on_paper_opens_this_label(client, label, bram, settings):
    client.force_login(bram)
    page = pypdfium2.PdfDocument(pdf_of(client, label))[0].render(scale=300 / 72).to_pil()
    (code,) = zxingcpp.read_barcodes(page, formats=zxingcpp.BarcodeFormat.QRCode)
    assert code.text == f"{settings.STIRBOOK_URL}/l/{label.serial}/"
    corners = code.position
    side_mm = abs(corners.top_right.x - corners.top_left.x) / 300 * 25.4
    assert side_mm >= 18


def test_the_font_of_the_product_is_in_the_pdf(client, label, bram):
    client.force_login(bram)
    fonts = set()
    for page in pypdf.PdfReader(BytesIO(pdf_of(client, label))).pages:
        fonts |= {str(font.get_object()["/BaseFont"]) for font in page["/Resources"]["/Font"].values()}
    assert any("Atkinson" in name for name in fonts), fonts


def test_printing_again_voids_the_one_before_and_the_old_one_opens_red(client, fill, label, bram):
    second = print_bucket_label(fill=fill, by=bram)
    label.refresh_from_db()
    assert (label.state, label.void_reason) == ("void", f"printed again as {second.serial}")
    answer = client.get(reverse("label", args=[label.serial]))
    page = answer.content.decode()
    assert answer.status_code == 410
    assert "no longer the one in force" in page
    assert second.serial in page
    assert 'class="red"' in page


def test_the_label_in_force_opens_the_bucket_for_anybody(client, label):
    answer = client.get(reverse("label", args=[label.serial]))
    assert answer.url == reverse("bucket", args=["B02"])


def test_a_label_of_an_emptied_bucket_is_red_and_names_none(client, fill, label, bram):
    empty_fill(fill=fill, why="washed out", by=bram)
    page = client.get(reverse("label", args=[label.serial])).content.decode()
    assert "No label is in force" in page


def test_an_unknown_serial_is_red_too(client):
    answer = client.get("/l/Q9999/")
    assert answer.status_code == 404
    assert "knows no label Q9999" in answer.content.decode()


def test_scanning_a_fresh_label_asks_whether_it_is_on_the_bucket(client, label, bram):
    client.force_login(bram)
    assert "It is on the bucket" in client.get(reverse("label", args=[label.serial])).content.decode()
    answer = client.post(reverse("apply-label", args=[label.serial]), {"key": uuid4()})
    assert answer.status_code == 303
    label.refresh_from_db()
    assert label.state == "applied"
    assert client.get(reverse("label", args=[label.serial])).url == reverse("bucket", args=["B02"])


def test_a_void_label_cannot_be_applied(fill, label, bram):
    print_bucket_label(fill=fill, by=bram)
    with pytest.raises(Refused, match="Take it off the bucket"):
        apply_label(label=label, by=bram)


def test_buckets_are_chosen_on_the_page_and_printed_once_however_often_it_is_sent(client, fill, bram):
    client.force_login(bram)
    typed = {"key": uuid4(), "fills": [fill.pk]}
    for _ in range(2):
        assert client.post(reverse("labels"), typed).status_code == 303
    assert Label.objects.filter(on_kind="buckets.fill", on_id=fill.pk).count() == 1


@pytest.mark.parametrize("fills", [[], ["0"], ["x"], ["99999"]])
def test_choosing_nothing_or_something_foreign_prints_nothing(client, fill, bram, fills):
    client.force_login(bram)
    answer = client.post(reverse("labels"), {"key": uuid4(), "fills": fills})
    assert answer.status_code == 422
    assert not Label.objects.exists()


def test_a_member_prints_no_labels(client, fill):
    with pytest.raises(NotAllowed):
        print_bucket_label(fill=fill, by=person("Ilse"))


def test_without_the_libraries_the_same_label_is_a_page_with_the_line_that_helps(
    client, label, bram, monkeypatch
):
    monkeypatch.setattr(printing, "pdf_ready", lambda: False)
    client.force_login(bram)
    answer = client.get(reverse("label-sheet", args=[label.serial]))
    assert answer["Content-Type"].startswith("text/html")
    page = answer.content.decode()
    assert printing.INSTALL_LINE in page
    assert "Gannet White" in page


def test_what_the_label_says_is_its_own_copy(client, label, fill, bram):
    fill.glaze = "Something else"
    fill.save(update_fields=["glaze"])
    client.force_login(bram)
    text = pypdf.PdfReader(BytesIO(pdf_of(client, label))).pages[0].extract_text()
    assert "Gannet White" in text


def test_the_working_label_says_do_not_dip(client, bram):
    batch = making.weighing_batch()
    label = Label.objects.get(on_kind="batches.batch", on_id=batch.pk)
    page = client.get(reverse("label", args=[label.serial])).content.decode()
    assert "Do not dip: Oat Husk is being made" in page
    client.force_login(bram)
    text = pypdf.PdfReader(BytesIO(pdf_of(client, label))).pages[0].extract_text()
    assert "slaking, do not dip" in text
    assert batch.number in text


@pytest.mark.parametrize(
    "address", ["file:///etc/hostname", "http://127.0.0.1/x", "https://stirbook.invalid/static/../manage.py"]
)
def test_a_page_on_paper_reads_nothing_but_our_own_files(address):
    with pytest.raises(ValueError, match="not one of our own files"):
        printing.static_file(address)


def test_a_hundred_labels_come_in_one_pdf(client, fill, bram):
    client.force_login(bram)
    serials = [print_bucket_label(fill=fill, by=bram).serial for _ in range(100)]
    answer = client.get(reverse("label-sheet", args=[",".join(serials)]))
    assert len(pypdf.PdfReader(BytesIO(answer.content)).pages) == 100
