"""Gaps of the inspection pack: each is found and stated, with why.

What an inspector asks for is from "sds.md" 5; days of checks and sheets are the studio's own rules, common
practice without a source. Checks, spills and injuries are written as rows here.
"""

from datetime import timedelta
from decimal import Decimal

import pytest
from django.urls import reverse
from django.utils import timezone

from buckets.models import Fill
from buckets.operations.additives import additive_in
from safety.operations.containers import add_container
from safety.operations.sheets import acknowledge
from studio.front.inspection import gaps_in, read
from studio.materials.operations.materials import end_material
from studio.materials.operations.stock import correct_stock
from studio.people.models import SignOff
from tests.batches.words import words_of
from tests.factories import BatchFactory, LeachTestFactory, MaterialFactory, SheetFactory, bram, person
from tests.front.inspection_rows import DAY, checked, gaps
from tests.safety.sheet_rows import filed, linseed_filed, quartz

pytestmark = pytest.mark.django_db
PAGE = reverse("inspection")


@pytest.fixture
def linseed(db) -> Fill:
    """Linseed in use, all its materials with sheets."""
    linseed_filed(fine="2")
    batch = BatchFactory(state="released")
    return Fill.objects.get(vessel=batch.vessel, emptied_at=None)


def test_an_empty_studio_says_that_nothing_was_ever_checked(client, technician):
    client.force_login(technician)
    page = words_of(client.get(PAGE))
    assert "Wet cleaning No check is on record; the studio's own rule is every day." in page
    assert "Whom to call in an emergency: not said" in page
    assert page.index("Gaps") < page.index("Materials and their sheets")


def test_a_material_without_a_sheet_is_missing_and_hazardous_dust(client, technician):
    MaterialFactory(name="Wood ash, washed")
    assert gaps("Sheets")["Wood ash, washed: missing"] == "No safety data sheet is on file."
    assert gaps("What is not classified")["Wood ash, washed"].endswith("treat it as hazardous dust.")
    client.force_login(technician)
    assert "never classified: treat as hazardous dust" in words_of(client.get(PAGE))


def test_what_is_discontinued_stays_on_the_list_until_none_is_left(technician):
    for name in ("Talc", "Whiting"):
        row = MaterialFactory(name=name)
        if name == "Talc":
            lot = row.lots.get()
            correct_stock(lot=lot, to_g=Decimal(0), reason="counted", by=technician)
        end_material(material=row, by=technician)
    told = {one.material.name for one in read(timezone.now(), injuries=False).materials}
    assert told == {"Whiting"}


def test_a_sheet_without_its_file_number_and_sections_says_so():
    sheet = filed("Whiting")
    said = gaps("What the sheets lack")[f"Whiting, {sheet}"]
    assert said.startswith("Its PDF is not here; no emergency number is copied; its language is not said;")
    assert said.endswith("sections 2, 4, 6, 7, 8 not copied.")


def test_a_sheet_that_aged_away_leaves_glaze_label_and_material_not_wholly_known(linseed):
    assert not gaps("What is not classified")
    later = timezone.now() + timedelta(days=6 * 365)  # sheets count as missing after 5 years
    found = gaps_in(read(later, injuries=False))
    told = {gap.what: gap.why for gap in found["What is not classified"]}
    assert told["Silica"].endswith("from a sheet that counts as missing: treat it as hazardous dust.")
    (glaze,) = (why for what, why in told.items() if what.startswith("Linseed"))
    assert "Silica" in glaze
    assert glaze.endswith("counts as missing by now.")
    assert any(what.startswith("Q") for what in told), "its label, too"


def test_a_sheet_for_another_law_is_a_gap():
    sheet = SheetFactory(material=MaterialFactory(name="Talc"), law="US")
    assert (
        "it is written for US, HCS 2024, the studio is under EU"
        in (gaps("What the sheets lack")[f"Talc, {sheet}"])
    )


def test_a_lot_that_no_sheet_covers_makes_the_material_due():
    filed("Whiting", lots=[])
    assert gaps("Sheets") == {"Whiting: due": "A lot that is here is not named as covered by it."}


def test_what_was_assumed_is_told():
    filed("Soda feldspar", quartz("5"))
    assert "all of it counts as fine" in gaps("What is not classified")["Soda feldspar: assumed"]


def test_weighing_without_a_current_sheet_stays_on_the_list_for_a_year():
    talc = MaterialFactory(name="Talc")
    for days in (10, 400):
        at = timezone.now() - days * DAY
        acknowledge(material=talc, what=f"batch {days}", reason="its sheet is on the way", by=bram(), at=at)
    said = list(gaps("Weighed without a current sheet").values())
    assert said == ["batch 10, by Bram: its sheet is on the way"]


def test_a_label_that_says_less_than_is_known_and_one_whose_bucket_changed(linseed):
    assert not [what for what in gaps("Labels") if "out of date" in what]
    additive_in(fill=linseed, additive="biocide", product="Keepwell 12", mass_g=Decimal(4), by=bram())
    filed("Silica", quartz("98", fine="60"))
    (why,) = (why for what, why in gaps("Labels").items() if what.endswith("out of date"))
    assert "Signal word: none, now Danger." in why
    assert "Something went into the bucket since it was printed." in why


def test_a_glaze_that_rests_on_nothing_is_not_wholly_classified():
    BatchFactory(state="released")
    found = gaps("What is not classified")
    (why,) = (why for what, why in found.items() if what.startswith("Linseed") and "version 1" in what)
    assert "Silica: no data sheet on file, so nothing is known of it." in why
    assert any(what.startswith("Q") for what in found), "its label says less than all, too"


def test_a_container_whose_label_is_gone_has_none(technician):
    tub = add_container(kind="waste", what="sink sludge", capacity_l=Decimal(10), by=technician)
    assert not any("no label" in what for what in gaps("Labels"))
    label = next(row for row in read(timezone.now(), injuries=False).labels if row.on_id == tub.pk)
    label.state, label.void_at = "void", timezone.now()
    label.save()
    assert gaps("Labels")["sink sludge: no label"] == "None is in force for it."


def test_a_glaze_whose_leach_tests_have_all_run_out_is_a_gap():
    first = LeachTestFactory()
    recipe = first.version.recipe
    assert "Leach tests" not in gaps_in(read(timezone.now(), injuries=False))
    day_after = timezone.now() + (first.expires_on - timezone.localdate() + DAY)
    found = gaps_in(read(day_after, injuries=False))["Leach tests"]
    assert [gap.what for gap in found] == [f"{first} of {recipe.name}"]
    assert found[0].why.startswith("It counted until ")
    on_the_last_day = read(day_after - DAY, injuries=False)
    assert "Leach tests" not in gaps_in(on_the_last_day)


def test_checks_fall_due_by_the_studios_own_days():
    for kind, days_ago in (("cleaning", 3), ("trap", 6), ("filter", 31), ("extraction", 29)):
        checked(kind, days_ago)
    found = gaps("Checks")
    assert set(found) == {"Wet cleaning", "Vacuum or air filter", "Respirator fit and filters"}
    assert found["Respirator fit and filters"].startswith("No check is on record;")


def test_of_a_kind_the_newest_counts_by_person_and_place_and_a_corrected_one_not():
    checked("filter", 90, place="spray booth")
    checked("filter", 2, place="spray booth")
    wrong = checked("filter", 1, good=False, found="torn", place="vacuum")
    checked("filter", 1, place="vacuum", replaces=wrong)
    checked("respirator", 400, person=bram())
    checked("respirator", 10, person=person("Tamsin", "technician"))
    checked("extraction", 1, good=False, found="the belt slips")
    found = gaps("Checks")
    assert not [what for what in found if what.startswith("Vacuum")]
    assert "due by" in found["Respirator fit and filters, Bram"]
    assert "Respirator fit and filters, Tamsin" not in found
    assert "the belt slips" in found["Extraction"]


def test_sign_offs_that_ended_or_end_soon_and_a_technician_without_training(technician):
    today = timezone.localdate()
    for name, days in (("Petra", -6), ("Yusuf", 20), ("Ngozi", 200)):
        SignOff.objects.create(
            member=person(name, "helper"), kind="SG", expires_on=today + days * DAY, given_by=technician
        )
    found = gaps("People")
    assert set(found) == {"Petra", "Yusuf", "Bram"}
    assert found["Petra"].startswith("SG: ended ")
    assert found["Yusuf"].startswith("SG: ends ")
    assert "no training is on record" in found["Bram"]
