"""Labels out of date: by what is known, by what went into the bucket since; on the page and in the API."""

from decimal import Decimal
from uuid import uuid4

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext
from django.urls import reverse

from buckets.models import Fill
from buckets.operations.additives import additive_in
from safety.models import Label
from safety.operations.containers import add_container, print_lot_label
from studio.front.outdated import outdated
from studio.materials.models import Material
from tests.batches.words import words_of
from tests.buckets.rows import in_use
from tests.factories import BatchFactory, bram
from tests.safety.sheet_rows import filed, linseed_filed, quartz

pytestmark = pytest.mark.django_db
PAGE = reverse("labels-out-of-date")


@pytest.fixture
def fill(client, technician):
    client.force_login(technician)
    linseed_filed(fine="2")
    batch = BatchFactory(state="released")
    return Fill.objects.select_related("vessel").get(vessel=batch.vessel, emptied_at=None)


def test_a_biocide_in_the_bucket_makes_its_label_out_of_date(client, fill):
    assert outdated() == []
    additive_in(fill=fill, additive="biocide", product="Keepwell 12", mass_g=Decimal(4), by=bram())
    (label,) = outdated()
    assert (label.on_id, label.reasons) == (
        fill.pk,
        ["Something went into the bucket since it was printed."],
    )
    page = client.get(PAGE)
    assert "1 label in force does not say what is known now." in words_of(page)
    assert f"{reverse('labels')}?fill={fill.pk}" in page.content.decode()


def test_a_label_with_two_reasons_stands_in_the_list_once(client, fill):
    additive_in(fill=fill, additive="biocide", product="Keepwell 12", mass_g=Decimal(4), by=bram())
    filed("Silica", quartz("98", fine="60"))
    (label,) = outdated()
    assert "Signal word: none, now Danger." in label.reasons
    assert "Something went into the bucket since it was printed." in label.reasons


def test_a_tub_is_listed_with_the_way_to_its_page(client, fill):
    silica = Material.objects.get(name="Silica")
    tub = add_container(kind="tub", lot=silica.lots.first(), what="", capacity_l=Decimal(2), by=bram())
    filed(silica, quartz("98", fine="60"))
    assert {label.on_kind for label in outdated()} == {"buckets.fill", "safety.container"}
    assert reverse("container", args=[tub.pk]) in client.get(PAGE).content.decode()


@pytest.mark.parametrize("kind", ["tub", "pot", "waste", "tiles"])
def test_a_container_has_its_way_to_a_new_label_and_it_leaves_the_list(client, fill, kind):
    silica = Material.objects.get(name="Silica")
    row = add_container(kind=kind, lot=silica.lots.first(), what="", capacity_l=Decimal(2), by=bram())
    filed(silica, quartz("98", fine="60"))
    way = reverse("print-container-label", args=[row.pk])
    assert f'href="{way}"' in client.get(PAGE).content.decode()
    assert client.post(way, {"key": uuid4()}).status_code == 303
    assert {label.on_kind for label in outdated()} == {"buckets.fill"}


def test_a_lot_has_its_way_to_a_new_label_that_remembers_how_much_the_bag_holds(client, fill):
    silica = Material.objects.get(name="Silica")
    lot = silica.lots.first()
    print_lot_label(lot=lot, capacity_l=Decimal("12.5"), by=bram())
    filed(silica, quartz("98", fine="60"), lots=[lot])
    way = reverse("print-lot-label", args=[lot.code])
    assert f'href="{way}"' in client.get(PAGE).content.decode()
    page = client.get(way).content.decode()
    assert 'value="12.5"' in page
    assert client.post(way, {"key": uuid4(), "capacity_l_0": "12.5", "capacity_l_1": "L"}).status_code == 303
    assert {label.on_kind for label in outdated()} == {"buckets.fill"}


def test_each_bucket_has_its_own_way_besides_the_one_for_all(client, fill):
    filed("Silica", quartz("98", fine="60"))
    page = client.get(PAGE).content.decode()
    assert page.count(f'href="{reverse("labels")}?fill={fill.pk}"') == 2
    assert f"Print anew the label {outdated()[0].serial}" in words_of(client.get(PAGE))


def test_a_member_sees_the_list_and_prints_nothing(client, fill, member):
    filed("Silica", quartz("98", fine="60"))
    client.force_login(member)
    page = words_of(client.get(PAGE))
    assert Label.objects.get(void_at=None, on_id=fill.pk).serial in page
    assert "Print the buckets' labels anew" not in page
    assert "Print anew" not in page


def test_programs_read_the_same_list(client, fill):
    filed("Silica", quartz("98", fine="60"))
    (row,) = client.get("/api/v1/labels-out-of-date/").json()["results"]
    assert row["serial"] == outdated()[0].serial
    assert row["printed_from"].startswith("K")
    assert "Signal word: none, now Danger." in row["reasons"]


def test_the_page_asks_as_often_however_many_buckets_there_are(client, fill):
    def queries():
        client.get(PAGE)
        with CaptureQueriesContext(connection) as told:
            client.get(PAGE)
        return len(told)

    filed("Silica", quartz("98", fine="60"))
    additive_in(fill=fill, additive="gum", product="cellulose", mass_g=Decimal(4), by=bram())
    few = queries()
    for number in (961, 962, 963):
        one = in_use(f"B{number}")
        additive_in(fill=one, additive="gum", product="cellulose", mass_g=Decimal(4), by=bram())
    assert queries() == few, few
    assert few <= 12, few
