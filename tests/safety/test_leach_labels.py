"""What leach tests let a label say: of one version by itself alone, and no label keeps saying too much."""

from datetime import timedelta
from decimal import Decimal

import pytest
from django.urls import reverse
from django.utils import timezone

from buckets.labels import NO_LONGER, food_of
from buckets.operations.additives import additive_in
from buckets.operations.labelling import label_fill
from buckets.queries import fill_in
from safety.contact import food_of_mixes, food_sentence, said_of_versions
from safety.mixes import Part, mix_of_material, mix_of_unknown, mix_of_version, together
from safety.models import Label
from safety.operations.contact import correct_leach_test
from studio.front.outdated import outdated
from studio.materials.models import Lot
from studio.materials.operations.stock import receive_lot
from tests.batches.words import words_of
from tests.factories import (
    BatchFactory,
    LeachTestFactory,
    MaterialFactory,
    VersionFactory,
    bram,
    leach_report,
    leached,
)
from tests.safety.sheet_rows import constituent, filed, linseed_filed

pytestmark = pytest.mark.django_db
NONE = "No leach test on record."


def test_each_version_by_itself_gets_its_sentence_and_whatever_else_the_usual_one():
    version, other = VersionFactory(name="Linseed"), VersionFactory(name="Fern")
    LeachTestFactory(version=version)
    said = food_sentence([version.pk, other.pk, None, 9999])
    assert said[version.pk].startswith("Leach test L001, ISO 6486-1 of ")
    assert (said[other.pk], said[None], said[9999]) == (NONE, NONE, NONE)


def test_a_mixture_says_nothing_of_a_test_but_all_that_forbids():
    fine, bad = VersionFactory(name="Linseed"), VersionFactory(name="Fern")
    LeachTestFactory(version=fine)
    LeachTestFactory(version=bad, results=leached(lead="9"))
    lead = MaterialFactory(name="Red lead")
    half = Decimal("0.5")
    both = together([Part(version=fine.pk, share=half), Part(version=bad.pk, share=half)])
    found_in = together([Part(version=fine.pk, share=half), Part(unknown="found", share=half)])
    with_lead = together([Part(version=fine.pk, share=half), Part(material=lead.pk, share=half)])
    mixes = [mix_of_version(fine), both, found_in, with_lead, mix_of_material(lead), mix_of_unknown("x")]
    said = [food.sentence for food in food_of_mixes(mixes)]
    assert said[0].startswith("Leach test L001")
    assert said[1].startswith("Not for food: leach test L002 is over")
    assert (said[2], said[5]) == (NONE, NONE)
    assert said[3] == said[4] == "Not for food: contains lead."


def test_the_sheets_of_materials_tell_of_elements_their_names_do_not():
    version = VersionFactory(name="Linseed")
    filed(version.lines.get(material__name="Silica").material, constituent("barium carbonate", "100"))
    found = said_of_versions([version.pk])[version.pk]
    assert any("barium (Silica)" in sentence for sentence in found.sentences)
    assert any("Not known what is in" in sentence and "Kaolin" in sentence for sentence in found.sentences)


def test_a_new_lot_of_a_flagged_material_ends_a_test_and_a_lot_of_another_does_not():
    version = VersionFactory(name="Linseed")
    silica, kaolin = (version.lines.get(material__name=name).material for name in ("Silica", "Kaolin"))
    filed(silica, constituent("cobalt oxide", "100"))
    Lot.objects.update(received_on=timezone.localdate() - timedelta(days=30))
    LeachTestFactory(version=version)
    lot = {"mass_g": 1000, "price_per_kg": 1, "received_on": timezone.localdate(), "by": bram()}
    receive_lot(material=kaolin, code="KA-77", state=Lot.State.RELEASED, **lot)
    receive_lot(material=silica, code="SI-76", state=Lot.State.QUARANTINE, **lot)
    assert said_of_versions([version.pk])[version.pk].state == "within"
    receive_lot(material=silica, code="SI-77", state=Lot.State.RELEASED, **lot)
    found = said_of_versions([version.pk])[version.pk]
    assert (found.state, found.label.endswith("lot SI-77 of Silica.")) == ("expired", True)


def test_a_corrected_record_counts_no_more():
    version = VersionFactory(name="Linseed")
    wrong = LeachTestFactory(version=version, results=leached(lead="9"))
    assert food_sentence([version.pk])[version.pk].startswith("Not for food")
    correct_leach_test(
        test=wrong, version=version, report=leach_report(note="nought lost"), results=leached(), by=bram()
    )
    assert food_sentence([version.pk])[version.pk].startswith("Leach test L002")


def test_any_number_of_versions_costs_the_same(django_assert_max_num_queries):
    versions = [VersionFactory(name=f"Glaze {n}") for n in range(4)]
    for version in versions[:3]:
        LeachTestFactory(version=version)
    with django_assert_max_num_queries(5):
        assert len(said_of_versions(version.pk for version in versions)) == 4


@pytest.fixture
def fill(technician):
    linseed_filed()
    batch = BatchFactory(state="released")
    return fill_in(batch.vessel.code)


def test_the_label_and_the_bucket_say_it_until_something_goes_in(client, technician, fill):
    assert fill.label_says["hazards"]["food"] == NONE
    LeachTestFactory(version=fill.version)
    client.force_login(technician)
    page = words_of(client.get(reverse("bucket", args=[fill.vessel.code])))
    assert "A leach test was recorded since its label was printed" in page
    label = label_fill(fill, by=technician)
    assert label.content["hazards"]["food"].startswith("Leach test L001")
    now = fill_in(fill.vessel.code)
    today = timezone.localdate()
    assert food_of(now, today) == label.content["hazards"]["food"]
    assert food_of(now, today + timedelta(days=800)) == NO_LONGER
    additive_in(fill=fill, additive="biocide", product="Keepwell 12", mass_g=Decimal(4), by=technician)
    assert food_of(fill_in(fill.vessel.code), today) == NO_LONGER


def test_a_tinted_bucket_says_nothing_of_a_test(technician, fill):
    LeachTestFactory(version=fill.version)
    fill.tinted = True
    assert label_fill(fill, by=technician).content["hazards"]["food"] == NONE


def test_a_label_that_says_too_much_is_out_of_date(client, technician, fill):
    LeachTestFactory(version=fill.version)
    label = label_fill(fill, by=technician)
    assert outdated() == []
    LeachTestFactory(version=fill.version, results=leached(lead="9"))
    (found,) = outdated()
    assert (found.serial, len(found.reasons)) == (label.serial, 1)
    assert "Food contact, now: Not for food: leach test L002 is over" in found.reasons[0]
    client.force_login(technician)
    assert "Not for food: leach test L002" in words_of(client.get(reverse("labels-out-of-date")))
    label_fill(fill, by=technician)
    assert outdated() == []
    assert Label.objects.get(pk=label.pk).state == Label.State.VOID
