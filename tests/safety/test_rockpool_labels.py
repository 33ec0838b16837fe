"""Rockpool from its sheets to paper: pail, cup and tub say what is classified, at the sizes the law asks."""

from decimal import Decimal
from pathlib import Path

import pytest
from django.conf import settings
from django.urls import reverse
from PIL import Image

from buckets.models import Fill
from buckets.operations.cups import make_cup
from buckets.operations.labels import print_bucket_label
from buckets.operations.readings import record_reading
from safety.labelling.sizes import OUTLINE, PRINTED, printed_for
from safety.models import Label
from safety.operations.containers import add_container
from studio.room.models import Details
from tests.buckets.rows import in_use
from tests.safety import rockpool
from tests.safety.label_rows import Paper
from tests.safety.sheet_rows import filed, quartz

pytestmark = pytest.mark.django_db
D = Decimal
PICTURES = Path(__file__).parents[1] / "pictures"
# x-height, side of a pictogram, label (short, long), all mm: CLP Table 1.3 and Reg. 2024/2865 [O]
LEAST = {"pail": (1.8, 23, (74, 105)), "cup": (1.2, 10, (52, 74)), "tub": (1.4, 10, (52, 74))}


@pytest.fixture
def studio(technician):
    Details.objects.create(
        name="Studio Vuurstraat", address="Vuurstraat 12, Gent", phone="+32 9 555 01 23", by=technician
    )


@pytest.fixture
def labels(studio, technician):
    fill = rockpool.bucket()
    record_reading(fill=fill, sg=D("1.42"), by=technician)
    fill.refresh_from_db()
    cup = make_cup(fill=fill, volume_l=D("0.4"), to_sg=D("1.38"), by=technician)
    tub = add_container(kind="tub", what="", capacity_l=D("2.5"), version=fill.version, by=technician)
    return {
        "pail": print_bucket_label(fill=fill, by=technician),
        "cup": Label.objects.get(on_kind="buckets.cup", on_id=cup.pk),
        "tub": Label.objects.get(on_kind="safety.container", on_id=tub.pk),
    }


def paper_of(client, label) -> Paper:
    answer = client.get(reverse("label-sheet", args=[label.serial]))
    assert answer["Content-Type"] == "application/pdf"
    return Paper(answer.content)


def test_all_three_say_what_the_classification_says_and_measure_what_the_law_asks(client, labels, technician):
    client.force_login(technician)
    for name, label in labels.items():
        x_height, side, (short, long) = LEAST[name]
        paper, hazards = paper_of(client, label), label.content["hazards"]
        said = "".join(paper.text(page) for page in range(len(paper))).replace(" ", "")
        result = label.classification.result
        assert hazards["signal_word"] == result["label"]["signal_word"] != ""
        told = [words for part in ("h", "p", "euh") for row in hazards[part] for words in row]
        told += [*hazards["identifiers"], *hazards["marks"], hazards["signal_word"], hazards["number"]]
        told += [number for _, number in hazards["sheets"]] + [label.serial, "StudioVuurstraat"]
        for words in told:
            assert words.replace(" ", "") in said, (name, words)
        assert [code for code, _ in hazards["h"]] == result["label"]["h_codes"]
        frames = paper.diamonds(0)
        assert len(frames) == len(result["label"]["pictograms"]) > 0
        assert min(frame.side for frame in frames) >= side, name
        assert min(paper.x_height(page) for page in range(len(paper))) >= x_height, name
        assert sorted(paper.size(0))[0] >= short
        assert sorted(paper.size(0))[1] >= long - 0.01
        assert f"{settings.STIRBOOK_URL}/l/{label.serial}/" in paper.codes(0)


def test_a_picture_of_each_is_kept(client, labels, technician, pytestconfig):
    """Looked at in a review; renewed with --keep-pictures."""
    client.force_login(technician)
    for name, label in labels.items():
        if pytestconfig.getoption("--keep-pictures"):
            keep(paper_of(client, label), PICTURES / f"label-{name}.png")
        with Image.open(PICTURES / f"label-{name}.png") as kept:
            assert kept.height >= 400
        assert (PICTURES / f"label-{name}.png").stat().st_size < 200_000


def keep(paper: Paper, where: Path) -> None:
    pages = [paper.picture(page) for page in range(len(paper))]
    sheet = Image.new("RGB", (sum(page.width + 20 for page in pages), pages[0].height), "#888")
    for number, page in enumerate(pages):
        sheet.paste(page, (sum(one.width + 20 for one in pages[:number]), 0))
    sheet.resize((sheet.width // 2, sheet.height // 2)).quantize(64).save(where, optimize=True)


def test_what_is_assumed_is_marked_and_hazardous_materials_name_their_sheets(labels):
    hazards = labels["pail"].content["hazards"]
    assert "Assumed: something in it is assumed, not known." in hazards["marks"]
    assert "Dry basis: the classes are those of the dry powder." in hazards["marks"]
    named = {material for material, number in hazards["sheets"] if number}
    assert {"Silica", "Copper carbonate", "Soda feldspar"} <= named
    assert "Wollastonite" not in named
    assert hazards["food"] == "No leach test on record."


def test_a_printed_code_of_a_sheet_opens_it_while_its_number_is_on_file(client, labels, technician):
    (number, *_) = [number for _, number in labels["pail"].content["hazards"]["sheets"] if number]
    client.force_login(technician)
    assert client.get(f"/l/{number}/").status_code == 302
    assert client.get("/l/S99999/").status_code == 404


def test_a_new_sheet_changes_the_next_label_and_not_the_one_printed(labels, technician):
    first = labels["pail"]
    said = first.content["hazards"]
    filed("Silica", quartz("98", fine="0"))
    again = print_bucket_label(fill=Fill.objects.get(pk=first.on_id), by=technician)
    first.refresh_from_db()
    assert first.content["hazards"] == said
    assert again.classification.number > first.classification.number


def test_nothing_on_file_is_treated_as_hazardous_and_says_so(technician):
    label = print_bucket_label(fill=in_use("B09"), by=technician)
    hazards = label.content["hazards"]
    assert hazards["missing"]
    assert "DATA MISSING: treat as hazardous dust." in hazards["marks"]
    assert all(not number for _, number in hazards["sheets"])


def test_printed_sizes_are_never_under_the_law_s():
    from safety.calc.sizes import label_size

    for litres in ("0.05", "0.5", "0.6", "3", "3.5", "20", "50", "120", "500", "600", "1000"):
        law, ours = label_size(capacity_l=float(litres)), printed_for(D(litres))
        short, long = sorted((ours.width_mm, ours.height_mm))
        assert short >= law.label_mm[0]
        assert long >= law.label_mm[1]
        assert ours.least == law.label_mm
        assert ours.least_binds is not law.label_if_possible
        assert ours.sides[0] >= law.pictogram_mm
        assert ours.sides[-1] >= law.pictogram_min_mm
        assert ours.x_height_mm >= law.x_height_mm_2024_2865
        if not law.label_if_possible:
            assert ours.sides[-1] ** 2 >= law.label_mm[0] * law.label_mm[1] / 15
    assert [size.name for size in PRINTED] == ["cup", "small", "pail", "drum", "vat"]
    assert pytest.approx(1.41421356) == OUTLINE
