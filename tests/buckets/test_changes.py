"""Water off, powder, additives, sieve with rinse water, thaw: what each does to the bucket, and undone."""

from decimal import Decimal
from uuid import uuid4

import pytest
from django.utils import timezone

from buckets.afterwards import predicted_sg
from buckets.models import Care, Fill, Powder
from buckets.operations import additives, care, powder
from buckets.operations.powder import FromLot, shares_of
from buckets.operations.readings import record_reading
from buckets.queries import dip_check_of, fill_in
from studio.errors import NotAllowed, Refused
from studio.materials.models import Lot, Movement
from studio.materials.operations.stock import correct_stock
from studio.people.models import Entry
from studio.quantities import rounded
from studio.room import policy
from tests.buckets.rows import HOUR, gannet, in_use
from tests.factories import MaterialFactory, VersionFactory, bram, linseed_lines

pytestmark = pytest.mark.django_db
D = Decimal


def fresh(fill: Fill) -> Fill:
    return Fill.objects.select_related("vessel", "version").get(pk=fill.pk)


def linseed(litres: str = "11.05", sg: str = "1.408", **said) -> Fill:
    """B04 of the demo studio on 2026-03-23: Linseed, 11.05 L at 1.408 (demo_studio.md)."""
    recipe = VersionFactory(name="Linseed", **said).recipe
    return in_use("B04", litres=litres, recipe=recipe, sg=D(sg))


def check(code="B04"):
    return dip_check_of(fill_in(code), timezone.now(), policy.in_force())


# --- water off


def test_decanted_water_takes_litres_and_weight_and_asks_for_a_reading(helper):
    fill = linseed()
    row = care.water_off(fill=fill, how="decanted", volume_l=D("0.57"), raw="volume_l=570 mL", by=helper)
    assert (row.change_l, row.change_g, row.raw) == (D("-0.57"), D(-570), "volume_l=570 mL")
    fill = fresh(fill)
    assert fill.volume_l == D("10.48")
    # demo_studio.md: 0.57 L of clear water off 11.05 L at 1.408 come to the target of 1.43
    assert predicted_sg(fill) == pytest.approx(D("1.430"), abs=D("0.001"))
    assert check().answer == "measure first"


def test_a_recipe_with_something_soluble_is_never_decanted_but_may_dry(technician):
    # demo_studio.md: Ash Rill's ash is partly soluble: never decant
    ash = MaterialFactory(name="Wood ash, washed", soluble=True)
    lines = linseed_lines()
    lines[0] = type(lines[0])(kind=lines[0].kind, material=ash, typed_name=ash.name, parts=D(27), typed="27")
    fill = in_use("B13", litres="8", recipe=VersionFactory(name="Ash Rill", lines=lines).recipe)
    assert fill.soluble
    with pytest.raises(Refused, match=r"dissolves and would go with the water.* keep the liquor, labelled"):
        care.water_off(fill=fill, how="decanted", volume_l=D("0.5"), by=technician)
    assert not Care.objects.exists()
    care.water_off(fill=fill, how="standing open", volume_l=D("0.5"), by=technician)
    assert fresh(fill).volume_l == D("7.5")


def test_water_gone_by_standing_open_is_told_by_the_depth(technician):
    fill = linseed()
    now_cm = D("19.0")
    row = care.water_off(fill=fill, how="standing open", depth_cm=now_cm, by=technician)
    assert fresh(fill).volume_l == rounded(fill.vessel.volume_at_l(19.0), 3)
    assert row.volume_l == D("11.05") - fresh(fill).volume_l


@pytest.mark.parametrize(
    ("said", "sentence"),
    [
        ({"how": "decanted"}, "How much water is gone"),
        ({"how": "decanted", "volume_l": D(0)}, "litres above 0"),
        ({"how": "decanted", "volume_l": D(-1)}, "litres above 0"),
        ({"how": "decanted", "volume_l": D("11.051")}, "B04 holds 11.05"),
        ({"how": "poured", "volume_l": D(1)}, "decanted, or did it dry"),
        ({"how": "standing open", "depth_cm": D(34)}, "nothing is gone"),
        ({"how": "standing open", "depth_cm": D(36)}, "deeper than the bucket"),
        ({"how": "standing open", "depth_cm": D(10), "volume_l": D(1)}, "not both"),
    ],
)
def test_water_off_that_cannot_be_is_refused(technician, said, sentence):
    fill = linseed()
    with pytest.raises(Refused, match=sentence):
        care.water_off(fill=fill, by=technician, **said)
    assert not Care.objects.exists()


# --- powder


def test_powder_made_up_before_leaves_the_store_as_it_is(technician):
    fill = linseed()
    before = Movement.objects.count()
    row = powder.powder_in(fill=fill, mass_g=D(528), note="the tub of March", by=technician)
    fill = fresh(fill)
    assert (row.change_g, row.how) == (D(528), "made up before")
    assert fill.volume_l == D("11.05") + rounded(D(528) / fill.particle_density / 1000, 3)
    # demo_studio.md: powder 0.528 kg brings B04 back to 1.43
    assert predicted_sg(fill) == pytest.approx(D("1.430"), abs=D("0.001"))
    assert Movement.objects.count() == before
    assert check().answer == "measure first"


def weighed_for(fill: Fill, total_g: int) -> list[FromLot]:
    """Every line of the version, to the gram, out of its first released lot."""
    return [
        FromLot(
            lot=line.material.lots.filter(state=Lot.State.RELEASED).first(),
            net_g=rounded(share * total_g, 0),
        )
        for line, share in shares_of(fill.version)
    ]


def test_powder_weighed_from_lots_leaves_the_store_line_by_line(technician):
    fill = linseed()
    rows = weighed_for(fill, 528)
    stood = {row.lot.pk: row.lot.on_hand_g for row in rows}
    care_row = powder.powder_in(fill=fill, rows=rows, by=technician)
    weighed = sum(row.net_g for row in rows)
    assert (care_row.mass_g, care_row.how) == (weighed, "out of lots")
    for row in rows:
        row.lot.refresh_from_db()
        assert row.lot.on_hand_g == stood[row.lot.pk] - row.net_g
    assert Powder.objects.filter(care=care_row).count() == len(rows) == 6
    whats = set(Movement.objects.filter(kind="weighed").values_list("what", flat=True))
    assert whats == {f"powder into B04, fill {fill.number}"}


def test_powder_taken_back_is_in_its_lots_again_with_its_money(technician):
    fill = linseed()
    rows = weighed_for(fill, 528)
    lots = [row.lot for row in rows]
    stood = [(lot.on_hand_g, lot.material.value) for lot in lots]
    row = powder.powder_in(fill=fill, rows=rows, by=technician)
    care.take_back_care(care=row, reason="it was B05", by=technician)
    for lot in lots:
        lot.refresh_from_db()
        lot.material.refresh_from_db()
    assert [(lot.on_hand_g, lot.material.value) for lot in lots] == stood
    assert fresh(fill).volume_l == D("11.05")


def test_the_lots_must_make_the_powder_of_this_recipe(technician):
    fill = linseed()
    rows = weighed_for(fill, 528)
    stranger = MaterialFactory(name="Rutile", density="4.2").lots.get()
    for wrong, sentence in (
        (rows[:-1], "Red iron oxide is missing"),
        ([*rows, FromLot(lot=stranger, net_g=D(5))], "Rutile, which is not in this recipe"),
        ([FromLot(lot=rows[0].lot, net_g=rows[0].net_g * 2), *rows[1:]], "Potash feldspar: .* weighed"),
        ([FromLot(lot=rows[0].lot, net_g=D(0)), *rows[1:]], "more than 0 g"),
    ):
        with pytest.raises(Refused, match=sentence):
            powder.powder_in(fill=fill, rows=wrong, by=technician)
    with pytest.raises(Refused, match="lots add up to"):
        powder.powder_in(fill=fill, rows=rows, mass_g=D(600), by=technician)
    assert not Care.objects.exists()
    assert not Powder.objects.exists()
    assert not Movement.objects.filter(kind="weighed").exists()


def test_more_than_a_lot_holds_takes_nothing_from_the_others_either(technician):
    fill = linseed()
    rows = weighed_for(fill, 528)
    correct_stock(lot=rows[-1].lot, to_g=D(10), reason="spilled", by=technician)
    with pytest.raises(Refused, match="short"):
        powder.powder_in(fill=fill, rows=rows, by=technician)
    assert not Movement.objects.filter(kind="weighed").exists()
    assert not Care.objects.exists()


def test_a_lot_in_quarantine_gives_nothing(technician):
    fill = linseed()
    rows = weighed_for(fill, 528)
    Lot.objects.filter(pk=rows[0].lot.pk).update(state=Lot.State.QUARANTINE)
    with pytest.raises(Refused, match="quarantine"):
        powder.powder_in(fill=fill, rows=rows, by=technician)
    assert not Care.objects.exists()


def test_a_helper_stirs_no_powder_in(helper):
    with pytest.raises(NotAllowed, match="technician"):
        powder.powder_in(fill=linseed(), mass_g=D(100), by=helper)
    assert not Care.objects.exists()


@pytest.mark.parametrize(
    ("mass_g", "sentence"), [(None, "How much powder"), (D(0), "more than 0 g"), (D(-1), "0 g")]
)
def test_powder_without_a_weight_is_refused(technician, mass_g, sentence):
    with pytest.raises(Refused, match=sentence):
        powder.powder_in(fill=linseed(), mass_g=mass_g, by=technician)


# --- additives


def test_a_dose_is_told_by_dry_glaze_and_its_water_counts(helper):
    fill = linseed()
    row = additives.additive_in(
        fill=fill, additive="magnesium sulfate", volume_l=D("0.020"), stock_g_per_l=D(200), by=helper
    )
    # 11.05 L at 1.408, density 2.649: 7.24 kg dry (slurry.md a); 4 g of salt are 0.055 % of it
    assert row.dose_pct == pytest.approx(D("0.0552"), abs=D("0.0003"))
    assert (row.change_l, row.change_g) == (D("0.020"), D(20))
    fill = fresh(fill)
    assert fill.volume_l == D("11.070")
    assert {"material": "magnesium sulfate", "words": additives.FROM_SHEET, "added": fill.pk} in fill.contents
    assert check().answer == "measure first"


def test_an_additive_taken_back_is_off_the_label_again_unless_another_stands(helper):
    fill = linseed()
    was = fresh(fill).contents
    said = {"fill": fill, "additive": "biocide", "product": "Clearwell", "mass_g": D(5), "by": helper}
    first, second = additives.additive_in(**said), additives.additive_in(**said)
    assert [entry["material"] for entry in fresh(fill).contents[len(was) :]] == ["biocide: Clearwell"]
    care.take_back_care(care=first, reason="twice", by=helper)
    assert len(fresh(fill).contents) == len(was) + 1
    care.take_back_care(care=second, reason="other bucket", by=helper)
    assert fresh(fill).contents == was


def test_where_nothing_is_known_of_what_is_in_it_an_additive_does_not_look_like_all_of_it(technician):
    fill = in_use("B04", litres="6", glaze="Old blue")
    additives.additive_in(fill=fill, additive="gum", mass_g=D(20), by=technician)
    assert fresh(fill).contents == []


def test_bentonite_takes_room_and_salt_weighs_only(technician):
    fill = linseed()
    bentonite = additives.additive_in(fill=fill, additive="bentonite", mass_g=D(94), by=technician)
    salt = additives.additive_in(fill=fill, additive="calcium chloride", mass_g=D(7), by=technician)
    assert (bentonite.change_l, bentonite.change_g) == (D("0.040"), D(94))  # 94 g at 2.35 g/mL
    assert (salt.change_l, salt.change_g) == (D(0), D(7))


@pytest.mark.parametrize(
    ("said", "sentence"),
    [
        ({"additive": "vinegar", "mass_g": D(1)}, "Choose one of the list"),
        ({"additive": "other", "mass_g": D(1)}, "Which product"),
        ({"additive": "biocide", "mass_g": D(1)}, "data sheet"),
        ({"additive": "gum"}, "How much went in"),
        ({"additive": "gum", "mass_g": D(0)}, "more than 0 g"),
        ({"additive": "gum", "mass_g": D(1), "volume_l": D(1)}, "not both"),
        ({"additive": "gum", "volume_l": D("0.1")}, "How strong"),
        ({"additive": "gum", "volume_l": D(0), "stock_g_per_l": D(23)}, "How much went in"),
        (
            {"additive": "magnesium sulfate", "volume_l": D(2), "stock_g_per_l": D(200)},
            "of the dry glaze. Usual is",
        ),
        ({"additive": "gum", "volume_l": D(15), "stock_g_per_l": D(1)}, "does not fit"),
        ({"additive": "gum", "volume_l": D("6.4"), "stock_g_per_l": D(1)}, "over the 17.31"),
    ],
)
def test_an_additive_that_cannot_be_is_refused(technician, said, sentence):
    fill = linseed()
    with pytest.raises(Refused, match=sentence):
        additives.additive_in(fill=fill, by=technician, **said)
    assert not Care.objects.exists()


# --- sieve, thaw, hard settling


def test_rinse_water_of_a_sieve_is_water_in_by_the_same_act(helper):
    fill = linseed()
    row = care.sieve_fill(
        fill=fill, mesh=120, residue_g=D("12.5"), rinse_l=D("0.3"), note="blue specks", by=helper
    )
    rinse = row.parts.get()
    assert (row.how, row.mass_g, row.note) == ("120 mesh", D("12.5"), "blue specks")
    assert (rinse.kind, rinse.volume_l, rinse.at) == ("water in", D("0.3"), row.at)
    assert fresh(fill).volume_l == D("11.35")
    assert check().answer == "measure first"
    assert Entry.objects.filter(act="sieved").count() == 1


def test_a_sieve_without_rinse_water_leaves_the_reading_counting(technician):
    fill = linseed(sg="1.43")
    record_reading(fill=fill, sg=D("1.43"), u_sg=D("0.002"), by=technician)
    care.sieve_fill(fill=fill, mesh=80, by=technician)
    care.stir(fill=fill, by=technician)
    assert check().answer == "dip"


def test_a_sieve_taken_back_takes_its_rinse_water_back(helper):
    fill = linseed()
    row = care.sieve_fill(fill=fill, mesh=80, rinse_l=D("0.3"), by=helper)
    care.take_back_care(care=row, reason="other bucket", by=helper)
    assert fresh(fill).volume_l == D("11.05")
    assert Care.objects.filter(reverses__isnull=False).count() == 2


def test_rinse_water_taken_back_alone_leaves_the_sieve(helper):
    fill = linseed()
    row = care.sieve_fill(fill=fill, mesh=80, rinse_l=D("0.3"), by=helper)
    care.take_back_care(care=row.parts.get(), reason="it went into the trap", by=helper)
    care.take_back_care(care=row, reason="other bucket", by=helper)
    assert fresh(fill).volume_l == D("11.05")
    assert Care.objects.count() == 4


@pytest.mark.parametrize(
    "said", [{"mesh": 0}, {"mesh": 636}, {"residue_g": D(-1)}, {"rinse_l": D(-1)}, {"rinse_l": D(7)}]
)
def test_a_sieve_that_cannot_be_is_refused(technician, said):
    with pytest.raises(Refused):
        care.sieve_fill(fill=linseed(), by=technician, **said)
    assert not Care.objects.exists()


def test_after_a_thaw_no_reading_from_before_counts(technician):
    fill = linseed(sg="1.43")
    record_reading(fill=fill, sg=D("1.43"), u_sg=D("0.002"), by=technician)
    care.stir(fill=fill, by=technician)
    assert check().answer == "dip"
    care.thaw_fill(fill=fill, note="the heater was off", by=technician)
    assert check().answer == "measure first"
    assert predicted_sg(fresh(fill)) is None
    record_reading(fill=fill, sg=D("1.43"), u_sg=D("0.002"), by=technician)
    care.stir(fill=fill, by=technician)
    assert check().answer == "dip"


def test_loosening_by_hand_is_a_stir_to_the_floor(technician):
    fill = linseed()
    row = care.loosen(fill=fill, note="with the paddle", by=technician)
    assert (row.kind, row.how) == ("stirred", "loosened by hand")
    assert fresh(fill).stirred_at == row.at


# --- what they have in common


ACTS = [
    lambda fill, by, **more: care.water_in(fill=fill, volume_l=D("0.1"), by=by, **more),
    lambda fill, by, **more: care.water_off(fill=fill, how="decanted", volume_l=D("0.1"), by=by, **more),
    lambda fill, by, **more: care.sieve_fill(fill=fill, mesh=80, rinse_l=D("0.1"), by=by, **more),
    lambda fill, by, **more: care.thaw_fill(fill=fill, by=by, **more),
    lambda fill, by, **more: care.loosen(fill=fill, by=by, **more),
    lambda fill, by, **more: additives.additive_in(fill=fill, additive="gum", mass_g=D(9), by=by, **more),
    lambda fill, by, **more: powder.powder_in(fill=fill, mass_g=D(90), by=by, **more),
]


@pytest.mark.parametrize("do", ACTS)
def test_the_same_key_again_is_one_act(technician, do):
    fill, key = linseed(), uuid4()
    first = do(fill, technician, key=key)
    rows = Care.objects.count()
    assert do(fill, technician, key=key) == first
    assert Care.objects.count() == rows


@pytest.mark.parametrize("do", ACTS)
def test_a_member_without_sign_off_is_refused_by_right(member, do):
    with pytest.raises(NotAllowed):
        do(linseed(), member)
    assert not Care.objects.exists()


@pytest.mark.parametrize("do", ACTS)
def test_taken_back_the_fill_is_as_it_was(technician, do):
    fill = linseed()
    before = vars(fresh(fill))
    row = do(fill, technician)
    care.take_back_care(care=row, reason="other bucket", by=technician)
    after = vars(fresh(fill))
    told = ("told_", "_")  # how many entries were told is history, and both entries stay
    for name in (name for name in before if not name.startswith(told)):
        assert after[name] == before[name], name
    assert predicted_sg(fresh(fill)) == D("1.408")


@pytest.mark.parametrize("do", ACTS)
def test_told_later_it_stands_at_its_own_time(technician, do):
    fill = linseed()
    at = timezone.now() - 5 * HOUR
    assert do(fill, bram(), at=at).at == at


def test_water_up_to_the_limit_goes_in_and_a_drop_more_is_refused_with_the_numbers(technician):
    fill = in_use("B02", litres="15", recipe=gannet())
    # pail P20: 20.36 L to the brim, 17.31 L at 85 % (day_in_the_room.md A)
    with pytest.raises(Refused) as refused:
        care.water_in(fill=fill, volume_l=D("2.4"), by=technician)
    said = refused.value.sentence.replace("\xa0", " ")
    for number in ("15 L", "2.4 L", "17.4 L", "17.31 L", "85 %", "20.36 L"):
        assert number in said
    care.water_in(fill=fill, volume_l=D("2.3"), by=technician)
    assert fresh(fill).volume_l == D("17.3")
