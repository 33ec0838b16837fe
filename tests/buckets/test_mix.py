"""What a bucket holds as a mixture: versions as poured, then what went in, by its grams of dry glaze."""

from decimal import Decimal

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext

from buckets.mix import FOUND, RECLAIM, mix_of, mixes_of
from buckets.models import Fill
from buckets.operations.additives import additive_in
from buckets.operations.care import take_back_care
from buckets.operations.lineage import blend_fill, split_fill
from buckets.operations.powder import FromLot, powder_in, shares_of
from buckets.operations.readings import record_reading
from buckets.operations.reclaim import begin_reclaim
from safety.mixes import canonical, mix_of_version
from tests.buckets.rows import in_use
from tests.factories import (
    BatchFactory,
    FillFactory,
    MaterialFactory,
    VersionFactory,
    VesselFactory,
    bram,
)

pytestmark = pytest.mark.django_db
D = Decimal


@pytest.fixture
def poured():
    """4 kg of Linseed, poured and released: all of it is one version."""
    batch = BatchFactory(state="released")
    return Fill.objects.get(vessel=batch.vessel, emptied_at=None)


def dry_g(fill):
    """Grams of dry glaze by the fill's first reading: SG 1.43, its litres, its powder's density."""
    reading = fill.readings.earliest("at")
    rho = fill.particle_density
    return 1000 * reading.volume_l * (reading.sg - 1) * rho / (rho - 1)


def test_what_was_poured_from_one_batch_is_its_version(poured):
    assert mix_of(poured) == mix_of_version(poured.version_id)


def test_powder_of_the_recipe_made_up_before_changes_nothing(poured):
    powder_in(fill=poured, mass_g=D(200), by=bram())
    assert mix_of(poured) == mix_of_version(poured.version_id)


def test_powder_out_of_lots_goes_in_as_its_materials_by_their_grams(poured):
    rows = [
        FromLot(lot=line.material.lots.first(), net_g=round(share * 400, 1))
        for line, share in shares_of(poured.version)
    ]
    powder_in(fill=poured, rows=rows, by=bram())
    mix = mix_of(poured)
    silica = next(row for row in rows if row.lot.material.name == "Silica")
    weighed = sum(row.net_g for row in rows)
    there = dry_g(poured)
    assert float(mix.versions[poured.version_id]) == pytest.approx(float(there / (there + weighed)), rel=1e-5)
    assert float(mix.materials[silica.lot.material_id]) == pytest.approx(
        float(silica.net_g / (there + weighed)), rel=1e-5
    )
    assert len(mix.materials) == len(rows)


def test_an_additive_counts_by_its_dose_and_is_the_material_of_that_name(poured):
    gum = MaterialFactory(name="Cellulose gum", density="1.59", hazard_words="")
    care = additive_in(fill=poured, additive="gum", product="cellulose gum", mass_g=D(20), by=bram())
    ratio = care.dose_pct / 100
    assert float(mix_of(poured).materials[gum.pk]) == pytest.approx(float(ratio / (1 + ratio)), rel=1e-6)
    take_back_care(care=care, reason="wrong jar", by=bram())
    assert mix_of(poured) == mix_of_version(poured.version_id)


def test_an_additive_nobody_has_in_the_store_is_unknown(poured):
    additive_in(fill=poured, additive="biocide", product="Keepwell 12", mass_g=D(4), by=bram())
    (said,) = mix_of(poured).unknown
    assert said == "biocide: Keepwell 12, put into the bucket"
    assert mix_of(poured).unknown[said] > 0


def test_an_additive_goes_along_when_the_bucket_is_split_or_mixed(poured):
    additive_in(fill=poured, additive="biocide", product="Keepwell 12", mass_g=D(4), by=bram())
    poured.refresh_from_db()
    record_reading(fill=poured, sg=D("1.43"), volume_l=D(5), by=bram())
    other = split_fill(fill=poured, vessel=VesselFactory(code="B77"), volume_l=D(1), stirred=True, by=bram())
    assert mix_of(other).unknown == {
        "biocide: Keepwell 12, in it from the bucket before, how much is not known": D(0)
    }
    assert mix_of(other).versions == {poured.version_id: D(1)}
    both = blend_fill(fill=other, spare=poured, volume_l=D(2), stirred=True, by=bram())
    assert mix_of(both).unknown == mix_of(other).unknown


def test_what_was_found_under_a_recipe_is_that_recipe_as_far_as_known():
    fill = FillFactory(recipe=VersionFactory().recipe)
    assert mix_of(fill).versions == {fill.version_id: D(1)}
    assert mix_of(fill).unknown == {FOUND: D(0)}


def test_what_was_found_without_a_recipe_is_unknown():
    fill = FillFactory(recipe=None, glaze="Blue something")
    assert canonical(mix_of(fill)) == [{"unknown": f"Blue something, {FOUND}", "share": "1"}]


def test_reclaim_is_unknown():
    fill = begin_reclaim(vessel=VesselFactory(code="B14"), volume_l=D(3), by=bram())
    assert canonical(mix_of(fill)) == [{"unknown": RECLAIM, "share": "1"}]


def test_any_number_of_buckets_is_read_in_the_same_queries(poured):
    additive_in(fill=poured, additive="gum", product="cellulose", mass_g=D(20), by=bram())

    def queries(fills):
        with CaptureQueriesContext(
            connection,
        ) as told:
            mixes_of(fill.pk for fill in fills)
        return len(told)

    few = queries([poured])
    more = [in_use(f"B{number}") for number in (61, 62, 63)]
    for fill in more:
        additive_in(fill=fill, additive="bentonite", mass_g=D(20), by=bram())
    assert queries([poured, *more]) == few <= 3
