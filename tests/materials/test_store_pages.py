"""The store's pages: what is usable, promised and left; search; as quick after ten years as after one."""

import re
from decimal import Decimal

import pytest
from django.urls import reverse
from django.utils import timezone

from studio.materials.models import Movement
from studio.materials.operations import stock
from studio.materials.operations.materials import add_material, end_material


@pytest.fixture
def silica(technician):
    return add_material(
        name="Silica",
        aliases=["Flint"],
        hazard_words="respirable silica",
        opening_g=Decimal(75_000),
        opening_price_per_kg=Decimal("0.62"),
        lot_code="SI-21",
        by=technician,
    )


@pytest.fixture
def pages(client, technician):
    client.force_login(technician, backend="django.contrib.auth.backends.ModelBackend")
    return client


def text_of(answer) -> str:
    assert answer.status_code == 200
    return re.sub("[\u00a0\u2009\u202f]|&nbsp;", " ", answer.content.decode())


def test_an_empty_store_says_what_to_do(pages):
    text = text_of(pages.get(reverse("store")))
    assert "The store is empty" in text
    assert reverse("add-materials") in text


def test_a_member_of_an_empty_store_is_not_sent_to_a_closed_door(client, member):
    client.force_login(member, backend="django.contrib.auth.backends.ModelBackend")
    text = text_of(client.get(reverse("store")))
    assert "A technician enters them." in text
    assert reverse("add-materials") not in text


def test_a_row_says_usable_reserved_available_quarantine_and_worth(pages, silica, technician):
    stock.receive_lot(material=silica, mass_g=Decimal(25_000), price_per_kg=Decimal("0.62"), by=technician)
    stock.reserve(silica, Decimal(3_000), "batch 26-001", "1", technician)
    text = text_of(pages.get(reverse("store")))
    for label, amount in [
        ("Usable", "75 kg"),
        ("Reserved", "3 kg"),
        ("Available", "72 kg"),
        ("In quarantine", "25 kg"),
        ("Worth", "62.00"),
    ]:
        assert f'data-label="{label}">{amount}' in text
    assert "respirable silica" in text
    stock.reserve(silica, Decimal(-3_000), "batch 26-001", "1", technician)


def test_more_promised_than_there_is_reads_short(pages, silica, technician):
    stock.reserve(silica, Decimal(3_000), "batch 26-001", "1", technician)
    lot = silica.lots.get()
    stock.correct_stock(lot=lot, to_g=Decimal(2_500), reason="a torn bag", by=technician)
    for name, args in (("store", []), ("material", [silica.pk])):
        text = text_of(pages.get(reverse(name, args=args)))
        assert "−500 g" in text
        assert "short" in text
    stock.reserve(silica, Decimal(-3_000), "batch 26-001", "1", technician)


@pytest.mark.parametrize(
    ("said", "found"),
    [
        ("sil", True),
        ("FLINT", True),
        ("respirable", True),
        ("zzz", False),
        ("%", False),
        ("<b>", False),
        ("\0", True),
    ],
)
def test_search_looks_into_names_other_names_and_hazard_words(pages, silica, said, found):
    text = text_of(pages.get(reverse("store"), {"q": said}))
    assert (reverse("material", args=[silica.pk]) in text) is found
    assert "<b>”" not in text


def test_discontinued_ones_are_asked_for(pages, silica, technician):
    end_material(material=silica, by=technician)
    address = reverse("material", args=[silica.pk])
    assert address not in text_of(pages.get(reverse("store")))
    assert address in text_of(pages.get(reverse("store"), {"state": "discontinued"}))
    assert address in text_of(pages.get(reverse("store"), {"q": "silica"}))
    assert reverse("receive-lot", args=[silica.pk]) not in text_of(pages.get(address))


def test_the_ledger_shows_newest_first_with_the_balance_after_each(pages, silica, technician):
    lot = silica.lots.get()
    moved = stock.issue(lot, Decimal("2760.5"), "batch 26-014, line 1", technician)
    stock.take_back(moved, "weighed from the wrong bag", technician)
    for name, args in (("material", [silica.pk]), ("lot", [lot.code])):
        text = text_of(pages.get(reverse(name, args=args)))
        newest = text.index("weighed from the wrong bag")
        assert newest < text.index("taken back</span>") < text.index("Opening stock")
        assert "+2 760.5 g" in text
        assert "−2 760.5 g" in text
        assert "72.24 kg" in text
        assert text.count('data-label="In the lot after">75 kg') == 2


@pytest.mark.parametrize("name", ["material", "lot", "receive-lot", "correct-stock", "use-up-lot"])
def test_hazard_words_stand_where_powder_is_handled(pages, silica, name):
    args = [silica.pk] if name in ("material", "receive-lot") else ["SI-21"]
    text = text_of(pages.get(reverse(name, args=args)))
    assert "Not classified, so treat as hazardous dust" in text
    assert "(noted in the store: respirable silica)" in text
    assert "safety data sheet" in text


def test_no_hazard_words_is_not_called_harmless(pages, technician):
    talc = add_material(name="Talc", by=technician)
    assert "Not classified, so treat as hazardous dust" in text_of(
        pages.get(reverse("material", args=[talc.pk]))
    )


def long_history(lot, by, rows: int) -> None:
    """Rows put in at once, in and out by turns so that the lot holds at the end what it held."""
    now = timezone.now()
    Movement.objects.bulk_create(
        Movement(
            lot=lot,
            material=lot.material,
            kind=Movement.Kind.WEIGHED,
            mass_g=Decimal(-1 if number % 2 == 0 else 1),
            cost=Decimal(0),
            on_hand_after_g=lot.on_hand_g - (1 if number % 2 == 0 else 0),
            by=by,
            at=now,
        )
        for number in range(rows)
    )


@pytest.mark.parametrize("name", ["store", "material", "lot"])
def test_pages_ask_no_more_of_a_long_history(
    pages, silica, technician, name, django_assert_max_num_queries, django_assert_num_queries
):
    args = {"material": [silica.pk], "lot": ["SI-21"]}.get(name, [])
    with django_assert_max_num_queries(12) as few:
        pages.get(reverse(name, args=args))
    long_history(silica.lots.get(), technician, 600)
    for number in range(12):
        add_material(name=f"Material {number}", opening_g=Decimal(1000), by=technician)
        stock.receive_lot(material=silica, mass_g=Decimal(1000), by=technician)
    with django_assert_num_queries(len(few)) as many:
        text = text_of(pages.get(reverse(name, args=args)))
    assert not any("sum(" in query["sql"].lower() and "movement" in query["sql"] for query in many)
    if name != "store":
        assert text.count('data-label="In the lot after"') == 40


def test_many_materials_come_in_pages(pages, technician):
    for number in range(103):
        add_material(name=f"Material {number:03}", by=technician)
    assert "Material 099" in text_of(pages.get(reverse("store")))
    assert "Material 100" not in text_of(pages.get(reverse("store")))
    assert "Material 100" in text_of(pages.get(reverse("store"), {"page": "2"}))
    assert "Page 2 of 2" in text_of(pages.get(reverse("store"), {"page": "999"}))
    assert "Page 1 of 2" in text_of(pages.get(reverse("store"), {"page": "x"}))


def test_units_of_the_person_stand_beside(pages, silica, technician):
    technician.units = "us"
    technician.save()
    assert "75 kg (165 lb)" in text_of(pages.get(reverse("store")))
