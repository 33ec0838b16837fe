"""Materials: added with opening stock in one form, changed, discontinued, known by many names."""

from decimal import Decimal
from uuid import uuid4

import pytest
from django.urls import reverse

from studio.errors import KeyUsedOtherwise, NotAllowed, Refused
from studio.materials.densities import density_of
from studio.materials.models import Alias, Lot, Material, Movement
from studio.materials.operations.materials import (
    add_alias,
    add_material,
    bring_back_material,
    change_material,
    end_material,
    find_material,
    suggestions,
)
from studio.materials.operations.stock import receive_lot
from studio.people.acts import story
from studio.people.models import Entry

# name, density it is given, its mark: "particle_density.csv"; frits 2.50 and bentonite 2.35 as in
# "demo_studio.md", conventions
DENSITIES = [
    ("Silica", "2.648", "source read"),
    ("Kaolin", "2.59", "source read"),
    ("Red iron oxide", "5.25", "source read"),
    ("Rutile, milled", "4.23", "source read"),
    ("Wood ash, washed", "2.5", "from memory"),
    ("Nepheline syenite", "2.60", "computed"),
    ("Bentonite", "2.35", "source read"),
    ("Frit L", "2.50", "source read"),
    ("flint", "2.648", "source read"),
    ("CMC", "1.6", "from memory"),
]


@pytest.mark.parametrize(("name", "density", "mark"), DENSITIES)
def test_a_density_left_empty_is_looked_up_with_its_source_and_mark(technician, name, density, mark):
    material = add_material(name=name, by=technician)
    assert material.density == Decimal(density)
    assert material.density_source.endswith(f"[{mark}]")


@pytest.mark.parametrize("name", ["Black stain", "Moon dust", "clay", "oxide", "???"])
def test_what_the_table_does_not_hold_is_assumed_and_says_so(technician, name):
    material = add_material(name=name, by=technician)
    assert (material.density, material.density_source[:7]) == (Decimal("2.6"), "assumed")


def test_every_row_of_the_table_says_where_it_is_from_within_its_column():
    from studio.materials.densities import _table

    assert len(_table()) > 60
    assert all(1 < row.density < 10 and row.mark and len(row.said) <= 200 for row in _table())
    assert all(density_of(row.name) for row in _table())


def test_a_density_of_ones_own_keeps_its_source(technician):
    material = add_material(name="Silica", density=Decimal("2.65"), density_source="own flask", by=technician)
    assert (material.density, material.density_source) == (Decimal("2.65"), "own flask")
    assert add_material(name="Talc", density=Decimal("2.8"), by=technician).density_source == "typed in"


def test_opening_stock_is_a_released_lot_with_its_money(technician):
    """75 kg at 0.62 a kg are 46.50; worked by hand."""
    material = add_material(
        name="Silica",
        opening_g=Decimal(75_000),
        opening_price_per_kg=Decimal("0.62"),
        lot_code="SI-21",
        supplier="Tollgate Minerals",
        by=technician,
        raw="opening_g=75 kg",
    )
    material.refresh_from_db()
    lot, movement = Lot.objects.get(), Movement.objects.get()
    assert (lot.code, lot.state, lot.on_hand_g) == ("SI-21", Lot.State.RELEASED, Decimal(75_000))
    assert (movement.kind, movement.cost, movement.raw) == (
        "opening stock",
        Decimal("46.5"),
        "opening_g=75 kg",
    )
    assert (material.owned_g, material.value) == (Decimal(75_000), Decimal("46.5"))


def test_a_lot_without_a_code_gets_the_next_of_its_own(technician):
    material = add_material(name="Potash feldspar", opening_g=Decimal(1), by=technician)
    receive_lot(material=material, code="PF-2", mass_g=Decimal(1), by=technician)
    receive_lot(material=material, mass_g=Decimal(1), by=technician)
    silica = add_material(name="Silica", opening_g=Decimal(1), by=technician)
    assert list(material.lots.order_by("id").values_list("code", flat=True)) == ["PF-1", "PF-2", "PF-3"]
    assert silica.lots.get().code == "SI-1"


def test_a_refused_opening_leaves_no_material(technician):
    add_material(name="Silica", opening_g=Decimal(1), lot_code="SI-1", by=technician)
    with pytest.raises(Refused) as refused:
        add_material(name="Sienna", opening_g=Decimal(1), lot_code="SI-1", by=technician)
    assert refused.value.field == "lot_code"
    assert Material.objects.count() == 1


def test_names_and_aliases_find_it_in_any_case(technician):
    silica = add_material(
        name="Silica", aliases=["Flint  stone", "QUARTZ", "quartz", "Étoile"], by=technician
    )
    for typed in ("silica", " SILICA ", "flint stone", "Quartz", "éTOILE"):
        assert find_material(typed) == silica
    assert find_material("silicon") is None
    assert suggestions("Sillica") == [silica]
    assert suggestions("feldspar") == []
    assert Alias.objects.count() == 3


def test_a_name_the_reference_table_knows_as_the_same_thing_is_offered(technician):
    """ "Kaolin / china clay" is one row of the table; frits share no row, only a class."""
    kaolin = add_material(name="Kaolin", by=technician)
    add_material(name="Frit L", by=technician)
    assert suggestions("China clay") == [kaolin]
    assert suggestions("Calcium borate frit") == []


def test_a_name_belongs_to_one_material(technician):
    silica = add_material(name="Silica", aliases=["Flint"], by=technician)
    for said in ({"name": "FLINT"}, {"name": "Talc", "aliases": ["silica"]}):
        with pytest.raises(Refused, match="Silica"):
            add_material(by=technician, **said)
    talc = add_material(name="Talc", by=technician)
    with pytest.raises(Refused, match="is a name of Silica already"):
        add_alias(material=talc, name="flint", by=technician)
    assert add_alias(material=silica, name="Quartz", by=technician) == silica


def test_a_changed_name_stays_known_and_the_journal_holds_both(technician):
    material = add_material(name="Chalk", hazard_words="low", by=technician)
    change_material(
        material=material,
        name="Whiting",
        role="plain",
        density=None,
        soluble=False,
        hazard_words="low",
        aliases=["Calcite"],
        by=technician,
    )
    material.refresh_from_db()
    assert (material.name, material.density) == ("Whiting", Decimal("2.71"))
    assert find_material("chalk") == find_material("calcite") == material
    assert [entry.content["name"] for entry in story(material)] == ["Whiting", "Chalk"]


def test_a_kept_density_keeps_its_source(technician):
    material = add_material(name="Silica", by=technician)
    source = material.density_source
    said = {"name": "Silica", "role": "plain", "soluble": False, "hazard_words": "dust", "aliases": []}
    change_material(material=material, density=material.density, by=technician, **said)
    material.refresh_from_db()
    assert material.density_source == source
    change_material(material=material, density=Decimal("2.66"), by=technician, **said)
    material.refresh_from_db()
    assert material.density_source == "typed in"


def test_nothing_is_received_of_a_discontinued_material(technician):
    material = add_material(name="Silica", opening_g=Decimal(1000), by=technician)
    end_material(material=material, reason="supplier gone", by=technician)
    with pytest.raises(Refused, match="Silica is discontinued"):
        receive_lot(material=material, mass_g=Decimal(1), by=technician)
    bring_back_material(material=material, by=technician)
    assert receive_lot(material=material, mass_g=Decimal(1), by=technician).on_hand_g == 1
    with pytest.raises(Refused, match="not discontinued"):
        bring_back_material(material=material, by=technician)


def test_the_same_key_twice_is_one_material_and_other_content_is_refused(technician):
    key = uuid4()
    first = add_material(name="Silica", opening_g=Decimal(1), by=technician, key=key)
    assert add_material(name="Silica", opening_g=Decimal(1), by=technician, key=key) == first
    with pytest.raises(KeyUsedOtherwise):
        add_material(name="Silica", opening_g=Decimal(2), by=technician, key=key)
    assert (Material.objects.count(), Movement.objects.count()) == (1, 1)


def test_a_member_may_not(member):
    with pytest.raises(NotAllowed):
        add_material(name="Silica", by=member)
    assert not Material.objects.exists()


# --- the page with opening stock, and the one for many --------------------------------------------------


@pytest.fixture
def pages(client, technician):
    client.force_login(technician, backend="django.contrib.auth.backends.ModelBackend")
    return client


def test_one_form_adds_material_and_stock_and_says_what_it_took(pages):
    typed = {"name": "Silica", "role": "plain", "aliases": "Flint; Quartz\nTripoli, fine"}
    typed |= {"opening_g_0": "22", "opening_g_1": "lb", "opening_price_per_kg": "0,62"}
    answer = pages.post(reverse("add-material"), {**typed, "key": str(uuid4())}, follow=True)
    said = answer.content.decode().replace("\u00a0", " ")
    assert "9.979 kg of it" in said
    assert "2.648 g/mL" in said
    material = Material.objects.get()
    # 22 lb at 453.59237 g exactly, to the milligram
    assert material.owned_g == Decimal("9979.032")
    assert {a.name for a in material.aliases.all()} == {"Flint", "Quartz", "Tripoli, fine"}
    assert "opening_g=22 lb" in Movement.objects.get().raw


def test_the_form_says_what_the_table_knows_before_it_is_sent(pages):
    text = pages.get(reverse("material-density"), {"name": "Talc"}).content.decode()
    assert "2.75" in text
    assert "assumed" in pages.get(reverse("material-density"), {"name": "Moon dust"}).content.decode()
    assert "2.75" in pages.get(reverse("add-material"), {"name": "Talc"}).content.decode()


def rows(*said: tuple[str, str, str]) -> dict[str, str]:
    typed = {"key": str(uuid4()), "rows": "10"}
    for number, (name, amount, price) in enumerate(said):
        typed |= {
            f"row{number}-name": name,
            f"row{number}-opening_g_0": amount,
            f"row{number}-opening_g_1": "kg",
        }
        typed |= {f"row{number}-opening_price_per_kg": price, f"row{number}-role": "plain"}
    return typed


STORE = [
    ("Potash feldspar", "75", "1.10"),
    ("Soda feldspar", "50", "1.15"),
    ("Silica", "75", "0.62"),
    ("Kaolin", "50", "0.94"),
    ("Whiting", "50", "0.70"),
    ("Dolomite", "25", "0.75"),
    ("Talc", "22,68", "1.02"),
    ("Wollastonite", "25", "1.30"),
    ("Frit L", "25", "3.40"),
    ("Bone ash", "", ""),
]


def test_a_store_is_typed_in_at_one_sitting(pages):
    answer = pages.post(reverse("add-materials"), rows(*STORE))
    assert answer.status_code == 303
    assert Material.objects.count() == 10
    assert (Lot.objects.count(), Movement.objects.count()) == (9, 9)
    assert Material.objects.get(name="Talc").owned_g == 22680
    assert Entry.objects.filter(act="several materials added").count() == 1
    assert Entry.objects.filter(act="material added").count() == 10


def test_sent_twice_it_is_added_once(pages):
    typed = rows(*STORE)
    assert [pages.post(reverse("add-materials"), typed).status_code for _ in range(2)] == [303, 303]
    assert Material.objects.count() == 10


@pytest.mark.parametrize(
    ("wrong", "cell", "says"),
    [
        (("", "5", "1"), "name", "A row needs a name."),
        (("Talc", "five", "1"), "opening_g", "This is not a number."),
        (("Talc", "5", "-1"), "opening_price_per_kg", "at least 0"),
        (("Kaolin", "5", "1"), "name", "Kaolin is in the store already"),
        (("kaolin", "", ""), "name", "kaolin is in the store already, as Kaolin"),
    ],
)
def test_one_wrong_row_keeps_everything_typed_and_writes_nothing(pages, wrong, cell, says):
    typed = rows(("Kaolin", "50", "0.94"), wrong, ("Silica", "75", "0.62"))
    answer = pages.post(reverse("add-materials"), typed)
    text = answer.content.decode()
    assert answer.status_code == 422
    assert says in text.split(f'id="id_row1-{cell}_error"')[1].split("</p>")[0]
    assert text.count('class="error"') == 1
    assert "To put right: row 2." in text
    assert [v for v in typed.values() if v not in ("", "10", "kg", "plain") and f'"{v}"' not in text] == []
    assert not Material.objects.exists()
    assert not Entry.objects.exists()


def test_no_row_at_all_is_said(pages):
    answer = pages.post(reverse("add-materials"), rows())
    assert answer.status_code == 422
    assert "No row is filled in yet." in answer.content.decode()


def test_ten_more_rows_keep_what_was_typed(pages):
    typed = rows(("Kaolin", "50", "0.94"))
    answer = pages.post(reverse("add-materials"), {**typed, "more": "1"})
    text = answer.content.decode()
    assert answer.status_code == 200
    assert text.count('-name"') >= 20
    assert 'value="Kaolin"' in text
    assert not Material.objects.exists()


@pytest.mark.parametrize("count", ["-1", "x", "99999999999999999999", "٣", ""])
def test_a_strange_number_of_rows_does_no_harm(pages, count):
    answer = pages.post(reverse("add-materials"), {**rows(("Kaolin", "50", "0.94")), "rows": count})
    assert answer.status_code == 303
