"""Spraying, sanding, cleaning, spilling: two lines from the classes of what is concerned, and its sheet."""

import pytest
from django.urls import reverse

from buckets.operations.labels import print_bucket_label
from safety.exposure import ACTS, NOT_CLASSIFIED, NOTHING_SAID, lines_for
from tests.batches import making
from tests.factories import FillFactory, MaterialFactory, bram
from tests.safety.sheet_rows import HARMLESS, classed, constituent, filed, linseed_filed, quartz

pytestmark = pytest.mark.django_db

SAID = [
    ("H302", "Harmful if swallowed."),
    ("H317", "May cause an allergic skin reaction."),
    ("H350i", "May cause cancer by inhalation."),
    ("H372", "Causes damage to organs."),
    ("H410", "Very toxic to aquatic life."),
]
CONSULT = "Consult the safety data sheet, local rules and a qualified person."


def what(act, statements=SAID, *, known=True, signal_word="Danger"):
    return lines_for(act, signal_word=signal_word, statements=statements, known=known).what


@pytest.mark.parametrize(
    ("act", "tells", "silent"),
    [
        ("spray", ("skin", "cancer", "organs"), ("swallowed", "aquatic")),
        ("sand", ("cancer", "organs"), ("swallowed", "skin", "aquatic")),
        ("clean", ("skin", "cancer", "organs", "aquatic"), ("swallowed",)),
        ("spill", ("skin", "cancer", "organs", "aquatic"), ("swallowed",)),
    ],
)
def test_an_act_tells_of_the_ways_it_reaches_a_person(act, tells, silent):
    said = what(act)
    assert said.startswith("Danger. ")
    assert all(word in said for word in tells)
    assert not any(word in said for word in silent)


@pytest.mark.parametrize("act", ACTS)
def test_what_nobody_knows_and_what_the_law_is_silent_about_are_said(act):
    assert what(act, []) == NOTHING_SAID
    assert what(act, [], known=False) == NOT_CLASSIFIED
    assert what(act, known=False).startswith(f"{NOT_CLASSIFIED} Danger. ")


@pytest.mark.parametrize("act", ["cleaning", "", "dip"])
def test_another_act_is_a_mistake(act):
    with pytest.raises(KeyError):
        what(act)


def test_on_the_bucket_they_come_from_its_label(client):
    linseed_filed(fine=None)  # all quartz counts as fine, so the glaze damages lungs
    fill = FillFactory(vessel__code="B05")
    print_bucket_label(fill=fill, by=bram())
    client.force_login(bram())
    page = client.get(reverse("bucket", args=["B05"])).content.decode()
    fold = page[page.index("Before you spray or sand it") :]
    fold = fold[: fold.index("</details>")]
    assert "In the booth, extraction and respirator on" in fold
    assert "Causes damage to organs (lungs)" in fold
    assert fold.count("href=") == 1  # the sheet of its silica
    assert CONSULT in fold


def test_a_bucket_nobody_classified_says_so(client):
    FillFactory(vessel__code="B05")
    client.force_login(bram())
    page = client.get(reverse("bucket", args=["B05"])).content.decode()
    assert page.count(NOT_CLASSIFIED) == 3


def test_a_lot_says_what_to_do_when_it_is_spilled(client):
    copper = MaterialFactory(name="Copper carbonate")
    filed(
        copper,
        constituent("copper", "100", classed("Aquatic Chronic 1")),
        hazards=classed("Aquatic Chronic 1"),
    )
    client.force_login(bram())
    page = client.get(reverse("lot", args=[copper.lots.get().code])).content.decode()
    assert "When it is spilled" in page
    assert "Very toxic to aquatic life" in page[page.index("When it is spilled") :]
    assert f'href="{reverse("binder-material", args=[copper.pk])}"' in page


def test_at_the_sieve_the_recipe_counts(client):
    batch = making.wet_batch()
    client.force_login(bram())
    address = reverse("sieve-batch", args=[batch.number])
    assert NOT_CLASSIFIED in client.get(address).content.decode()
    for line in batch.lines.all():
        filed(line.material, constituent(line.name, "100", HARMLESS))
    assert NOTHING_SAID in client.get(address).content.decode()
    filed("Silica", quartz("100"))
    assert "lungs" in client.get(address).content.decode()
