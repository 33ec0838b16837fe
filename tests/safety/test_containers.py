"""Tubs, weighed pots, test tiles, waste and lots bear labels that live as a bucket's do."""

import io
from decimal import Decimal
from uuid import uuid4

import pypdf
import pytest
from django.urls import reverse

from safety.models import Container, Label
from safety.operations.containers import (
    add_container,
    container_gone,
    print_container_label,
    print_lot_label,
)
from safety.operations.labels import apply_label
from studio.errors import NotAllowed, Refused
from studio.front import proof
from studio.materials.operations.stock import use_up_lot
from studio.people.models import Entry
from tests import factories

pytestmark = pytest.mark.django_db
D = Decimal


@pytest.fixture
def lot(technician):
    return factories.MaterialFactory(name="Talc", hazard_words="dust").lots.get()


@pytest.fixture
def tub(lot, technician):
    return add_container(kind="tub", what="", capacity_l=D(2), lot=lot, about="shelf C", by=technician)


def label_of(row, kind="safety.container") -> Label:
    return Label.objects.get(on_kind=kind, on_id=row.pk, state__in=("printed", "applied"))


def text_of(client, label) -> str:
    pages = pypdf.PdfReader(io.BytesIO(client.get(reverse("label-sheet", args=[label.serial])).content)).pages
    return " ".join(" ".join(page.extract_text() for page in pages).split())


def test_a_decanted_tub_is_labelled_with_its_lot_and_what_is_not_known_of_it(client, tub, technician):
    label = label_of(tub)
    assert (label.purpose, label.content["title"], label.content["capacity_l"]) == ("tub", "Talc", "2")
    client.force_login(technician)
    said = text_of(client, label)
    for words in ("Talc", "decanted tub", "shelf C", label.serial, "DATA MISSING: treat as hazardous dust."):
        assert words in said, words
    assert "not yet classified" in said


@pytest.mark.parametrize(
    ("kind", "words"),
    [
        ("pot", "for this batch alone"),
        ("tiles", "hold the tiles by their feet"),
        ("waste", "Not down the sink"),
    ],
)
def test_each_kind_says_what_to_do_with_it(client, technician, kind, words):
    row = add_container(kind=kind, what="Sieve ends", capacity_l=D("0.4"), by=technician)
    client.force_login(technician)
    said = text_of(client, label_of(row))
    assert words in said
    assert "DATA MISSING: treat as hazardous dust." in said


def test_of_a_recipe_it_is_classified_as_the_recipe_is(technician):
    version = factories.VersionFactory(name="Heron")
    row = add_container(kind="tub", what="", capacity_l=D(3), version=version, by=technician)
    label = label_of(row)
    assert label.content["title"] == "Heron"
    assert label.classification.mix == [{"version": version.pk, "share": "1"}]
    assert label.content["hazards"]["number"] == str(label.classification)


def test_it_is_scanned_applied_printed_again_and_red(client, tub, technician):
    first = label_of(tub)
    client.force_login(technician)
    address = reverse("label", args=[first.serial])
    assert "It is on its container" in client.get(address).content.decode()
    apply_label(label=first, by=technician)
    assert client.get(address).url == reverse("container", args=[tub.pk])
    second = print_container_label(container=tub, by=technician)
    answer = client.get(address)
    assert answer.status_code == 410
    assert f'the one now is <b class="whole">{second.serial}</b>' in answer.content.decode()
    assert second.print_number == 2


def test_a_stranger_reads_the_hazards_and_no_more(client, tub):
    answer = client.get(reverse("label", args=[label_of(tub).serial]))
    assert answer.status_code == 200
    page = answer.content.decode()
    assert "Talc" in page
    assert "treat" in page
    assert "Bram" not in page
    assert client.get(reverse("container", args=[tub.pk])).status_code == 302


def test_one_never_scanned_expires_as_a_bucket_s_does(client, lot, technician):
    from datetime import timedelta

    from django.utils import timezone

    row = add_container(
        kind="tub", what="", capacity_l=D(2), lot=lot, by=technician, at=timezone.now() - timedelta(hours=25)
    )
    label = label_of(row)
    client.force_login(technician)
    answer = client.get(reverse("label", args=[label.serial]))
    assert answer.status_code == 410
    assert reverse("print-container-label", args=[row.pk]) in answer.content.decode()
    with pytest.raises(Refused, match="has expired"):
        apply_label(label=label, by=technician)


def test_gone_is_gone_and_its_label_void(client, tub, technician):
    label = label_of(tub)
    container_gone(container=tub, how="used up", by=technician)
    label.refresh_from_db()
    assert (label.state, label.void_reason) == ("void", "it was used up")
    with pytest.raises(Refused, match="gone already"):
        container_gone(container=tub, by=technician)
    with pytest.raises(Refused, match="gone already"):
        print_container_label(container=tub, by=technician)
    client.force_login(technician)
    assert "Talc" in client.get(reverse("containers"), {"shown": "gone"}).content.decode()
    assert "Talc" not in client.get(reverse("containers")).content.decode()


def test_a_lot_has_a_label_of_its_own_by_the_page(client, lot, technician):
    client.force_login(technician)
    typed = {"key": uuid4(), "capacity_l_0": "25", "capacity_l_1": "L"}
    for _ in range(2):
        answer = client.post(reverse("print-lot-label", args=[lot.code]), typed)
        assert answer.status_code == 303
    label = label_of(lot, "materials.lot")
    assert answer.url == f"/labels/?printed={label.serial}"
    said = text_of(client, label)
    assert f"lot {lot.code}" in said
    assert "Keep the supplier's own label" in said
    apply_label(label=label, by=technician)
    assert client.get(reverse("label", args=[label.serial])).url == reverse("lot", args=[lot.code])


def test_a_lot_used_up_gets_none(lot, technician):
    spent = factories.LotFactory(material=factories.MaterialFactory(name="Spent clay"), mass_g="10")
    from studio.materials.operations.stock import correct_stock

    correct_stock(lot=spent, to_g=D(0), reason="counted", by=technician)
    spent.refresh_from_db()
    use_up_lot(lot=spent, reason="empty", by=technician)
    spent.refresh_from_db()
    with pytest.raises(Refused, match="needs no label any more"):
        print_lot_label(lot=spent, capacity_l=D(25), by=technician)


def test_the_same_key_twice_is_one_container(client, lot, technician):
    client.force_login(technician)
    typed = {
        "key": uuid4(),
        "kind": "tub",
        "lot": lot.pk,
        "what": "",
        "capacity_l_0": "2",
        "capacity_l_1": "L",
    }
    for _ in range(2):
        assert client.post(reverse("add-container"), typed).status_code == 303
    assert Container.objects.count() == 1
    assert Label.objects.filter(on_kind="safety.container").count() == 1


def test_a_member_labels_no_container(lot, member):
    with pytest.raises(NotAllowed):
        add_container(kind="tub", what="", capacity_l=D(2), lot=lot, by=member)


def test_the_books_tell_a_label_on_a_container_that_is_gone(tub):
    Container.objects.filter(pk=tub.pk).update(gone_at=tub.made_on.isoformat() + "T10:00:00Z")
    assert any("is in force on a container that is gone" in str(problem) for problem in proof.problems())
    Container.objects.filter(pk=tub.pk).update(gone_at=None)


WRONG = [
    ({"kind": ""}, "kind"),
    ({"kind": "bucket"}, "kind"),
    ({"kind": "<b>"}, "kind"),
    ({"kind": "TUB"}, "kind"),
    ({"kind": "1"}, "kind"),
    ({"kind": "tub\0"}, "kind"),
    ({"lot": "0"}, "lot"),
    ({"lot": "x"}, "lot"),
    ({"lot": "-1"}, "lot"),
    ({"lot": "9" * 30}, "lot"),
    ({"lot": "1.5"}, "lot"),
    ({"lot": "1 or 1"}, "lot"),
    ({"version": "0"}, "version"),
    ({"version": "x"}, "version"),
    ({"version": "-1"}, "version"),
    ({"version": "9" * 30}, "version"),
    ({"version": "1.5"}, "version"),
    ({"version": "a\0"}, "version"),
    ({"lot": "", "what": ""}, "what"),
    ({"lot": "", "what": "   "}, "what"),
    ({"what": "w" * 121}, "what"),
    ({"what": "a\0b"}, "what"),
    ({"about": "w" * 61}, "about"),
    ({"about": "a\0b"}, "about"),
    ({"capacity_l_0": ""}, "capacity_l"),
    ({"capacity_l_0": "much"}, "capacity_l"),
    ({"capacity_l_0": "0"}, "capacity_l"),
    ({"capacity_l_0": "-2"}, "capacity_l"),
    ({"capacity_l_0": "1001"}, "capacity_l"),
    ({"capacity_l_0": "nan"}, "capacity_l"),
    ({"capacity_l_0": "9" * 50}, "capacity_l"),
    ({"capacity_l_1": "pint"}, "capacity_l"),
]


@pytest.mark.parametrize(("typed", "field"), WRONG)
def test_what_is_typed_wrongly_is_said_beside_it_and_nothing_is_written(
    client, lot, technician, typed, field
):
    client.force_login(technician)
    good = {"kind": "tub", "lot": lot.pk, "what": "", "capacity_l_0": "2", "capacity_l_1": "L", "about": ""}
    before = Entry.objects.count()
    answer = client.post(reverse("add-container"), {**good, "key": uuid4(), **typed})
    assert answer.status_code == 422
    assert answer.context["form"].errors[field]
    assert f'id="id_{field}_error"' in answer.content.decode()
    assert not Container.objects.exists()
    assert not Label.objects.exists()
    assert Entry.objects.count() == before


@pytest.mark.parametrize("how", ["", "eaten", "x" * 300, "<b>", "used up\0", "USED UP"])
def test_gone_how_is_one_of_three(client, tub, technician, how):
    client.force_login(technician)
    answer = client.post(reverse("container-gone", args=[tub.pk]), {"key": uuid4(), "how": how})
    assert answer.status_code == 422
    assert answer.context["form"].errors["how"]
    tub.refresh_from_db()
    assert tub.gone_at is None
