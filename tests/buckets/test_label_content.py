"""What a bucket's label says is what its fill says, with nothing promised about food."""

from decimal import Decimal

import pytest

from buckets.labels import bucket_label_content
from buckets.models import Fill
from buckets.operations.holding import hold_fill
from buckets.operations.labels import print_bucket_label
from tests.buckets.rows import GANNET, found, in_use
from tests.factories import BatchFactory

pytestmark = pytest.mark.django_db


def test_a_recipe_fill_says_glaze_version_cone_window_and_cautions(technician):
    fill = Fill.objects.get(pk=in_use().pk)
    content = bucket_label_content(fill)
    assert (content["glaze"], content["version"], content["cone"]) == ("Gannet White", 1, "6")
    assert (content["target_sg"], content["sg_low"], content["sg_high"]) == ("1.450", "1.430", "1.470")
    assert [entry["material"] for entry in content["contents"]] == [name for name, *_ in GANNET]
    assert content["cautions"] == [{"material": "Silica", "words": "quartz dust"}]
    assert content["cautions_source"] == "from the material list, not yet classified"
    assert (content["state"], content["history_unknown"]) == ("in use", True)
    assert not any("safe" in str(value) for value in content.values())


def test_testing_and_held_are_said(technician):
    fill = found(glaze="Blue", litres="3")
    content = bucket_label_content(fill)
    assert (content["state"], content["version"], content["sg_low"], content["batch"]) == (
        "testing",
        None,
        None,
        "",
    )
    hold_fill(fill=fill, reason="specks", by=technician)
    assert bucket_label_content(Fill.objects.get(pk=fill.pk))["state"] == "held"


def test_a_poured_fill_names_its_batch(technician):
    batch = BatchFactory(state="released")
    fill = Fill.objects.get(vessel=batch.vessel, emptied_at=None)
    assert bucket_label_content(fill)["batch"] == batch.number


def test_a_printed_label_keeps_its_words_when_the_fill_changes(technician):
    fill = in_use()
    label = print_bucket_label(fill=fill, by=technician)
    Fill.objects.filter(pk=fill.pk).update(glaze="Renamed", target_sg=Decimal("1.5"))
    label.refresh_from_db()
    assert (label.content["glaze"], label.content["target_sg"]) == ("Gannet White", "1.450")
    Fill.objects.filter(pk=fill.pk).update(glaze="Gannet White", target_sg=Decimal("1.45"))
