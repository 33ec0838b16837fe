"""Recipes classified from the sheets on file: summed by substance, kept once, worked out anew by a new sheet.

Linseed of "demo_studio.md" 2: 26 parts of silica in 104.5 of dry glaze. Silica 98 % quartz; its limits are
10 % for STOT RE 1, 1 % for STOT RE 2 of the fine fraction (mixtures.md 6).
"""

from decimal import Decimal
from fractions import Fraction

import pytest
from django.db import Error, connection, transaction
from django.test.utils import CaptureQueriesContext

from safety.calc.hazards import Hazards
from safety.classifying import side_by_side, worked_out
from safety.hazards import labels_out_of_date, standing
from safety.mixes import digest_of, mix_of_material, mix_of_unknown, mix_of_version, of_amounts
from safety.models import Classification, Label
from safety.operations.classifying import SERIES, classify_version, kept, reclassify, worked_out_anew
from safety.operations.labels import print_label
from studio.errors import Refused
from studio.front.proof.classifications import problems
from studio.materials.models import Material
from studio.materials.operations.stock import use_up_lot
from studio.people.acts import take_number
from studio.recipes.operations.recipes import approve_version
from studio.room.models import Details
from tests.factories import MaterialFactory, VersionFactory, bram, tamsin
from tests.safety.sheet_rows import HARMLESS, classed, constituent, filed, linseed_filed, quartz

pytestmark = pytest.mark.django_db
D = Decimal


def linseed():
    """Version 1 of Linseed, a draft: nothing is on file of it yet."""
    return VersionFactory(name="Linseed", approved=False)


def of(version, law="EU"):
    return worked_out([mix_of_version(version)], law)[0]


def classes(version, law="EU"):
    return set(of(version, law).result.classes)


# --- what is summed


def test_shares_are_of_all_dry_parts_and_exact():
    version = linseed()
    linseed_filed()
    fine = next(one for one in of(version).inputs["substances"] if one["name"] == "quartz, fine fraction")
    whole = Fraction(26 * 2, 1045) * 10
    assert D(fine["pct"]) == D(whole.numerator) / D(whole.denominator)
    assert [(one["material"], one["source"]) for one in fine["of"]] == [("Silica", "sheet S006, section 3")]


@pytest.mark.parametrize(
    ("fine", "found"), [("2", set()), ("10", {"STOT RE 2"}), ("60", {"STOT RE 1"}), (None, {"STOT RE 1"})]
)
def test_silica_counts_by_its_fine_fraction_and_wholly_without_a_figure(fine, found):
    version = linseed()
    linseed_filed(fine=fine)
    assert classes(version) == found
    said = of(version).assumed
    assert said == (
        ("Silica: S006 gives no fine fraction of quartz, so all of it counts as fine.",)
        if fine is None
        else ()
    )


def test_small_amounts_in_several_materials_are_summed_before_any_limit():
    """As case S03 of mixtures_checks.json has it: none of them reaches 1 % by itself."""
    version = linseed()
    linseed_filed(fine="2")  # 0.498 % of the glaze
    filed("Kaolin", quartz("4", fine="2"))  # 0.325 %
    filed("Potash feldspar", quartz("8", fine="1"))  # 0.258 %
    assert classes(version) == {"STOT RE 2"}


def test_a_material_without_a_sheet_is_never_harmless():
    version = linseed()
    linseed_filed()
    kaolin = Material.objects.get(name="Kaolin")
    unfiled = MaterialFactory(name="Grey dust", hazard_words="")
    worked = worked_out([of_amounts({(1, kaolin.pk, ""): D(9), (1, unfiled.pk, ""): D(1)})], "EU")[0]
    assert worked.missing == ("Grey dust: no data sheet on file, so nothing is known of it.",)
    assert D(worked.result.as_plain()["unknown_pct"]["oral"]) == 10
    assert of(version).missing == ()


def test_what_a_sheet_does_not_say_is_unknown_and_said_so():
    filed("Stain", constituent("pigment", "60", Hazards(stated="not stated")), hazards=Hazards())
    stain = Material.objects.get(name="Stain")
    worked = worked_out([mix_of_material(stain)], "EU")[0]
    assert worked.missing == (
        "Stain: S001 says nothing of what pigment does.",
        "Stain: S001 says nothing of 40\u00a0% of it.",
    )
    assert D(worked.result.as_plain()["unknown_pct"]["oral"]) == 100


def test_a_class_of_the_whole_product_is_not_lost_when_no_substance_has_it():
    filed("Stain", constituent("pigment", "60"), hazards=classed("Eye Dam. 1"))
    stain = Material.objects.get(name="Stain")
    found = worked_out([mix_of_material(stain)], "EU")[0]
    whole = next(one for one in found.ingredients if one.name == "Stain, as a whole")
    assert (whole.pct, whole.hazards.classes) == (D(100), ("Eye Dam. 1",))
    assert "Eye Dam. 1" in found.result.classes


def test_of_two_suppliers_sheets_the_stricter_counts():
    version = linseed()
    linseed_filed(fine="2")
    filed("Silica", quartz("99", fine="60"), supplier="Northmoor Clay Supply")
    assert classes(version) == {"STOT RE 1"}
    assert of(version).assumed == ("Silica: S006 and S007 both stand, so the stricter of them counts.",)


def test_a_supplier_whose_lots_are_gone_no_longer_counts():
    version = linseed()
    linseed_filed(fine="60")
    silica = Material.objects.get(name="Silica")
    filed(silica, quartz("99", fine="2"), supplier="Northmoor Clay Supply", lots=[silica.lots.get()])
    assert classes(version) == {"STOT RE 1"}
    from studio.materials.operations.stock import receive_lot

    new = receive_lot(material=silica, code="SI-22", mass_g=D(5000), price_per_kg=D(1), by=bram())
    filed(silica, quartz("99", fine="2"), supplier="Northmoor Clay Supply", lots=[new])
    use_up_lot(lot=silica.lots.exclude(pk=new.pk).get(), reason="bag empty", by=bram())
    assert classes(version) == set()


def test_a_sheet_for_another_country_is_marked_as_assumed():
    version = linseed()
    linseed_filed()
    assert len(of(version, "US").assumed) == 6
    assert (
        "Silica: S006 is written for EU, CLP; a sheet for US, HCS 2024 may say more."
        in of(version, "US").assumed
    )


def test_what_is_unknown_in_a_mixture_is_missing_and_what_may_be_in_it_assumed():
    version = linseed()
    linseed_filed()
    both = of_amounts({(0, version.pk, ""): D(3), (2, 0, "found"): D(1), (2, 0, "its history"): D(0)})
    worked = worked_out([both], "EU")[0]
    assert worked.missing == ("25\u00a0% of it is not known: found.",)
    assert worked.assumed == ("Its history. What that may add is not counted.",)


def test_any_number_of_mixtures_and_laws_takes_the_same_queries():
    first = linseed()
    linseed_filed()

    def queries(mixes, laws):
        with CaptureQueriesContext(connection) as told:
            side_by_side(mixes, laws)
        return len(told)

    few = queries([mix_of_version(first)], ["EU"])
    more = [mix_of_version(VersionFactory(name=f"Glaze {n}", approved=False)) for n in range(4)]
    assert queries([mix_of_version(first), *more], ["EU", "US", "UN"]) == few <= 6


# --- what is kept


def test_the_same_inputs_are_kept_once():
    version = linseed()
    linseed_filed()
    mix = mix_of_version(version)
    first = kept(mix=mix, what="Linseed, version 1", why="a label", by=bram())
    again = kept(mix=mix, what="Linseed, version 1", why="another label", by=bram())
    assert first.pk == again.pk
    assert (first.law, first.what, first.why) == ("EU", "Linseed, version 1", "a label")
    assert str(first) == f"K{first.number:04d}"
    assert (first.assumed, first.missing) == (False, False)
    assert standing(mix) == first


def test_a_new_sheet_makes_a_new_one_and_the_old_stays_as_it_was():
    version = linseed()
    linseed_filed(fine="2")
    mix = mix_of_version(version)
    first = kept(mix=mix, what=str(version), why="a label", by=bram())
    first.refresh_from_db()
    before = (first.inputs, first.result)
    filed("Silica", quartz("98", fine="60"))
    now = standing(mix)
    first.refresh_from_db()
    assert (first.inputs, first.result) == before
    assert now.number > first.number
    assert "STOT RE 1" in now.result["classes"]
    assert "S007" in now.why


def test_a_sheet_that_says_the_same_still_makes_a_new_one_because_labels_name_it():
    version = linseed()
    linseed_filed(fine="2")
    first = kept(mix=mix_of_version(version), what=str(version), why="a label", by=bram())
    filed("Silica", quartz("98", fine="2"))
    assert standing(mix_of_version(version)).number > first.number


def test_history_cannot_be_edited():
    version = linseed()
    linseed_filed()
    row = kept(mix=mix_of_version(version), what=str(version), why="a label", by=bram())
    for change in (row.delete, lambda: Classification.objects.filter(pk=row.pk).update(what="harmless")):
        with pytest.raises(Error, match="history is added to"), transaction.atomic():
            change()


def test_approving_a_version_puts_what_it_is_on_file():
    version = linseed()
    linseed_filed(fine="60")
    assert standing(mix_of_version(version)) is None
    approve_version(version=version, by=tamsin())
    row = standing(mix_of_version(version))
    assert (row.why, row.by, "STOT RE 1" in row.result["classes"]) == ("came into force", tamsin(), True)


def test_reclassifying_reaches_what_stands_and_nothing_else():
    version = linseed()
    linseed_filed()
    approve_version(version=version, by=tamsin())
    draft = VersionFactory(name="Draft", approved=False)
    other = mix_of_unknown("found")
    found = kept(mix=other, what="found", why="a label", by=bram())
    silica = Material.objects.get(name="Silica")
    assert reclassify(material=silica, why="nothing new", by=bram()) == 0
    filed(silica, quartz("98", fine="60"))
    assert standing(mix_of_version(version)).number > found.number
    assert standing(mix_of_version(draft)) is None
    assert standing(other) == found


def test_other_laws_are_kept_up_to_date_once_they_were_asked_for():
    version = linseed()
    linseed_filed()
    mix = mix_of_version(version)
    first = classify_version(version=version, law="US", by=bram())
    filed("Silica", quartz("98", fine="60"))
    assert all(standing(mix, law).number > first.number for law in ("EU", "US"))
    assert standing(mix, "UN") is None


def test_the_studios_own_law_counts_unless_another_is_named():
    version = linseed()
    linseed_filed()
    Details.objects.create(name="Quillmere Clay Studio", law="US", by=bram())
    assert kept(mix=mix_of_version(version), what=str(version), why="a label", by=bram()).law == "US"


def test_only_who_files_in_the_binder_may_keep_one(member, helper):
    version = linseed()
    for one in (member, helper):
        with pytest.raises(Refused, match="binder"):
            classify_version(version=version, by=one)
    assert not Classification.objects.exists()


def test_a_law_nobody_knows_is_refused():
    with pytest.raises(Refused, match="EU, US or UN"):
        classify_version(version=linseed(), law="XX", by=bram())


# --- the books


def test_the_books_say_when_a_result_does_not_follow_from_its_inputs():
    version = linseed()
    linseed_filed(fine="60")
    row = kept(mix=mix_of_version(version), what=str(version), why="a label", by=bram())
    assert list(problems()) == []
    said = {name: getattr(row, name) for name in ("what", "mix", "mix_digest", "law", "rule_set", "inputs",
                                                  "inputs_digest", "result")}  # fmt: skip
    sid = transaction.savepoint()
    Classification.objects.create(number=90, **{**said, "result": {**row.result, "classes": []}})
    Classification.objects.create(number=91, **{**said, "law": "UN", "inputs_digest": "0" * 64})
    Classification.objects.create(number=92, **{**said, "law": "US", "mix_digest": "1" * 64, "missing": True})
    found = "\n".join(map(str, problems()))
    transaction.savepoint_rollback(sid)
    assert "classification K0090: says another thing than its inputs lead to." in found
    assert "classification K0091: bears the digest of other inputs." in found
    assert "classification K0092: bears the digest of another mixture." in found
    assert "classification K0092: does not say what of it is assumed or missing." in found


# --- another edition of the working out


def earlier(row, **said):
    """The same row as an earlier edition of the working out had left it."""
    inputs = {name: value for name, value in row.inputs.items() if name != "edition"}
    return Classification.objects.create(
        number=take_number(SERIES),
        **{name: getattr(row, name) for name in ("what", "mix", "mix_digest", "law", "rule_set")},
        **{
            "inputs": inputs,
            "inputs_digest": digest_of([row.rule_set, inputs]),
            "result": {**row.result, "classes": []},
            **said,
        },
    )


def test_after_an_upgrade_what_an_earlier_edition_made_is_worked_out_anew_once():
    version = linseed()
    linseed_filed(fine="60")
    row = kept(mix=mix_of_version(version), what=str(version), why="a label", by=bram())
    old = earlier(row)
    assert list(problems()) == []  # it says what that edition made of it, not what this one would
    assert worked_out_anew() == 1
    now = standing(mix_of_version(version))
    assert now.number > old.number
    assert now.result == row.result
    assert "worked out more exactly" in now.why
    assert Classification.objects.get(pk=old.pk).result["classes"] == []
    assert worked_out_anew() == 0


def test_a_label_printed_by_an_earlier_edition_is_listed_after_the_upgrade():
    version = linseed()
    linseed_filed(fine="60")
    row = kept(mix=mix_of_version(version), what=str(version), why="a label", by=bram())
    nothing = {**row.result, "label": {**row.result["label"], "h_codes": [], "signal_word": None}}
    printed = label(earlier(row, result=nothing), Material.objects.get(name="Silica"))
    assert labels_out_of_date() == []
    worked_out_anew()
    (listed,) = labels_out_of_date()
    assert listed.pk == printed.pk
    assert "Signal word: none, now Danger." in listed.reasons


# --- labels that are out of date


def label(classification, material):
    return print_label(
        purpose=Label.Purpose.LOT,
        on=material.lots.first(),
        content={"title": "Silica"},
        classification=classification,
        by=bram(),
    )


def test_labels_say_why_they_are_out_of_date():
    linseed_filed(fine="2")
    silica = Material.objects.get(name="Silica")
    first = kept(mix=mix_of_material(silica), what="Silica", why="a label", by=bram())
    printed = label(first, silica)
    assert labels_out_of_date() == []
    filed(silica, quartz("98", fine="60"))
    (found,) = labels_out_of_date()
    assert (found.pk, found.now) == (printed.pk, standing(mix_of_material(silica)))
    assert found.reasons[0] == "Signal word: Warning, now Danger."
    assert "H372 new; H373 no longer" in found.reasons[1]
    assert found.reasons[-1] == "Sheets: S006, now S007."
    label(found.now, silica)
    assert labels_out_of_date() == []


def test_a_label_printed_without_a_class_and_one_by_other_rules_are_out_of_date():
    linseed_filed()
    silica, kaolin = (Material.objects.get(name=name) for name in ("Silica", "Kaolin"))
    label(None, silica)
    label(kept(mix=mix_of_material(kaolin), what="Kaolin", why="a label", by=bram(), law="US"), kaolin)
    said = [one.reasons for one in labels_out_of_date()]
    assert ["It was printed before its contents were classified."] in said
    assert ["It follows the rules of US; the studio is under EU."] in said


def test_the_list_of_labels_is_read_in_the_same_queries():
    linseed_filed()
    silica = Material.objects.get(name="Silica")

    def queries():
        with CaptureQueriesContext(connection) as told:
            labels_out_of_date()
        return len(told)

    label(kept(mix=mix_of_material(silica), what="Silica", why="a label", by=bram()), silica)
    few = queries()
    for name in ("Kaolin", "Whiting", "Frit L"):
        one = Material.objects.get(name=name)
        label(kept(mix=mix_of_material(one), what=name, why="a label", by=bram()), one)
    filed(silica, quartz("98", fine="60"))
    assert queries() == few <= 3
    assert HARMLESS.known
