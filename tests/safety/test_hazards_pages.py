"""Pages of what glazes are: the list, one version with its water, the derivation, and keeping a result."""

from dataclasses import replace
from datetime import timedelta
from decimal import Decimal
from uuid import uuid4

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext
from django.urls import reverse
from django.utils import timezone

from buckets.operations.labels import print_bucket_label
from safety.cautions import statements_of
from safety.hazards import standing
from safety.labelling.hazard_part import ASSUMED, hazard_part
from safety.labelling.wording import words_of as label_words
from safety.mixes import mix_of_version
from safety.models import Classification, Label, Sheet
from safety.operations.classifying import kept
from safety.operations.containers import add_container
from studio.materials.models import Material
from studio.people.models import Entry
from studio.recipes.models import Version
from tests.batches.words import words_of
from tests.buckets.rows import in_use
from tests.factories import VersionFactory, bram
from tests.safety.sheet_rows import classed, constituent, filed, linseed_filed, quartz

pytestmark = pytest.mark.django_db
D = Decimal


@pytest.fixture
def version(client, technician):
    client.force_login(technician)
    version = VersionFactory(name="Linseed")
    linseed_filed(fine="60")
    return version


def test_every_recipe_stands_in_the_list_with_its_classes(client, version):
    VersionFactory(name="Not yet", approved=False)
    page = words_of(client.get(reverse("recipe-hazards")))
    for said in ("Linseed", "version 1", "Danger", "STOT RE 1", "H372", "by the sheets on file", "2 recipes"):
        assert said in page
    assert "No version is approved yet." in page
    assert "consult the safety data sheet, local rules and a qualified person" in page.lower()


def test_a_recipe_is_found_by_its_name(client, version):
    VersionFactory(name="Oat Husk")
    page = words_of(client.get(reverse("recipe-hazards"), {"q": "husk"}))
    assert "Oat Husk" in page
    assert "Linseed" not in page
    assert "No recipe fits this" in words_of(client.get(reverse("recipe-hazards"), {"q": "zzz"}))


def test_what_is_not_known_stands_in_the_list_as_missing(client, technician):
    client.force_login(technician)
    VersionFactory(name="Linseed")
    page = words_of(client.get(reverse("recipe-hazards")))
    assert "data missing" in page
    assert "not classified as hazardous" not in page


def test_a_version_shows_dry_and_wet_shares_and_the_rules_side_by_side(client, version):
    page = words_of(client.get(reverse("version-hazards", args=[version.pk])))
    # 26 x 60 % of 104.5 is 14.9282 % dry; at SG 1.43 with powder of 2.649 the mass is 48.3 % dry glaze
    # (slurry reference: phi = 0.43 / 1.649, w = phi x 2.649 / 1.43)
    for said in (
        "14.9282 %", "7.21", "48.3 % of the mass is dry glaze", "CAS 14808-60-7", "data sheet S006",
        "EU, ours", "US: OSHA HCS 2024", "UN: UN GHS, limits as in CLP", "Danger", "H372",
    ):  # fmt: skip
        assert said in page, said
    assert page.index("EU: CLP") < page.index("US: OSHA HCS 2024")


def test_the_derivation_says_rule_sum_limit_and_source_of_every_line(client, version):
    page = words_of(client.get(reverse("version-derivation", args=[version.pk])))
    for said in (
        "Silica 24.8804 % × 60 % = 14.9282 %", "sheet S006, section 3", "typed from the sheet",
        "Water is left out", "14.9282 %", "10 %", "STOT RE 1", "CLP, text of 1 July 2026",
        "Consult the safety data sheet, local rules and a qualified person",
    ):  # fmt: skip
        assert said in page, said
    american = words_of(client.get(reverse("version-derivation", args=[version.pk]), {"law": "US"}))
    assert "HCS 2024" in american
    assert "is written for EU, CLP" in american
    assert "Harm to water is no part of the US rules" in american
    united = words_of(client.get(reverse("version-derivation", args=[version.pk]), {"law": "UN"}))
    assert "Its categories Acute 2 and Acute 3 of harm to water (H401, H402) are not worked out." in united


def test_a_result_on_file_stays_as_it_was_and_names_the_one_that_stands(client, version):
    first = kept(mix=mix_of_version(version), what=str(version), why="a label", by=bram())
    filed("Silica", quartz("98", fine="0.5"))
    page = words_of(client.get(reverse("classification", args=[first.number])))
    assert "It does not stand any more." in page
    assert "sheet S006, section 3" in page
    assert "sheet S007" not in page
    listed = words_of(client.get(reverse("classifications"), {"q": "linseed", "law": "EU"}))
    assert listed.index(str(standing(mix_of_version(version)))) < listed.index(str(first))


def test_a_technician_keeps_a_result_and_sending_it_twice_is_one_row(client, version):
    address = reverse("classify-version", args=[version.pk])
    assert "Keep this result" in words_of(client.get(address))
    before = Classification.objects.count()
    sent = {"key": str(uuid4()), "law": "US"}
    first = client.post(address, sent)
    assert first.status_code == 303
    assert client.post(address, sent).url == first.url
    assert Classification.objects.count() == before + 1
    assert Classification.objects.first().law == "US"


@pytest.mark.parametrize("law", ["XX", "eu", "EU ", "CLP", "0", "EU,US", "UN,", "<b>"])
def test_a_wrong_law_is_refused_and_nothing_is_written(client, version, law):
    before = (Classification.objects.count(), Entry.objects.count())
    answer = client.post(reverse("classify-version", args=[version.pk]), {"key": str(uuid4()), "law": law})
    assert answer.status_code == 422
    assert "Choose EU, US or UN." in words_of(answer)
    assert (Classification.objects.count(), Entry.objects.count()) == before


def test_a_member_reads_it_and_keeps_nothing(client, version, member):
    client.force_login(member)
    page = words_of(client.get(reverse("version-hazards", args=[version.pk])))
    assert "Keep a result" not in page
    answer = client.post(reverse("classify-version", args=[version.pk]), {"key": str(uuid4())})
    assert answer.status_code == 403


@pytest.mark.parametrize("name", ["version-hazards", "version-derivation", "classify-version"])
def test_a_version_nobody_has_is_not_there(client, technician, name):
    client.force_login(technician)
    assert client.get(reverse(name, args=[9999])).status_code == 404


def test_a_result_nobody_has_is_not_there(client, technician):
    client.force_login(technician)
    assert client.get(reverse("classification", args=[9999])).status_code == 404


def test_every_page_asks_twelve_times_at_most_however_long_it_is(client, version):
    row = kept(mix=mix_of_version(version), what="", why="", by=bram())
    pages = [
        reverse("recipe-hazards"),
        reverse("version-hazards", args=[version.pk]),
        reverse("version-derivation", args=[version.pk]),
        reverse("classification", args=[row.number]),
        reverse("classifications"),
        reverse("labels-out-of-date"),
    ]

    def queries():
        found = []
        for page in pages:
            client.get(page)
            with CaptureQueriesContext(connection) as told:
                assert client.get(page).status_code == 200
            found.append(len(told))
        return found

    few = queries()
    for number in range(4):
        VersionFactory(name=f"Glaze {number}")
        filed("Silica", quartz("98", fine=str(50 + number)))
    assert queries() == few
    assert max(few) <= 12, few


def derived(client, silica, law="EU"):
    """The derivation page of Linseed with this in its silica: words and markup."""
    version = VersionFactory(name="Linseed")
    for name in ("Potash feldspar", "Frit L", "Whiting", "Kaolin", "Red iron oxide"):
        filed(name)
    filed("Silica", silica)
    page = client.get(reverse("version-derivation", args=[version.pk]), {"law": law})
    return words_of(page), page.content.decode()


def test_what_section_3_does_not_name_is_said_to_be_assumed_never_stated(client, technician):
    client.force_login(technician)
    said, _ = derived(client, quartz("98", fine="60"))
    row = said[said.index("Silica, the rest of it") :][:250]
    assert "taken as no hazard of its own (assumed)" in row
    assert "not named in section 3 of sheet S006 (assumed)" in row
    assert "stated as not hazardous" not in row
    coarse = said[said.index("quartz, coarse fraction") :][:250]
    assert "no class: harm to the lungs counts by the fine fraction alone" in coarse


@pytest.mark.parametrize("law", ["EU", "US", "UN"])
def test_a_figure_names_the_sheet_it_is_in_and_that_page_shows_it(client, technician, law):
    client.force_login(technician)
    said_of_it = classed("Acute Tox. 4 (oral)", ate={"oral": D(450)}, m_acute=10)
    copper = constituent("copper salt", "30", said_of_it)
    said, page = derived(client, replace(copper, low_pct=D(25)), law)
    assert "ATE by mouth 450 mg/kg (sheet S006, section 3)" in said
    assert "M-factor acute 10 (sheet S006, section 3)" in said
    assert "section 3: 25 to 30 %, 30 % used" in said
    assert 'href="/binder/sheets/6/"' in page
    sheet = words_of(client.get("/binder/sheets/6/"))
    assert "ATE by mouth 450 mg/kg" in sheet
    assert "M-factor acute 10" in sheet


@pytest.mark.parametrize("law", ["US", "UN"])
def test_no_label_list_or_page_of_other_rules_bears_a_letter_of_the_eu(client, technician, law):
    """H350i and H360FD are codes of CLP; elsewhere H350 and H360 with route and effect in the words."""
    client.force_login(technician)
    said = classed("Carc. 1B", "Repr. 1B", carc_inhalation_only=True, repr_effects="FD")
    page, _ = derived(client, constituent("blue salt", "5", said), law)
    version = Version.objects.get()
    row = kept(mix=mix_of_version(version), what=str(version), why="", by=bram(), law=law)
    words = {
        "H350": "May cause cancer by inhalation.",
        "H360": "May damage fertility. May damage the unborn child.",
    }
    assert dict(hazard_part(row)["h"]) == dict(statements_of(row)) == words
    listed = words_of(client.get(reverse("classifications"), {"law": law}))
    on_file = words_of(client.get(reverse("classification", args=[row.number])))
    for told in (page, listed, on_file):
        assert "H350" in told
        assert not {"H350i", "H360FD"} & set(told.replace(",", " ").split())
    beside = words_of(client.get(reverse("version-hazards", args=[version.pk])))
    assert beside.index("H350i") < beside.index("H350, H360")  # the studio's own, the EU's, first


def test_the_page_says_what_the_label_says_where_a_part_has_no_sheet(client, technician):
    """An ash with a note of the studio and no sheet: names, note and marks are those that are printed."""
    client.force_login(technician)
    version = VersionFactory(name="Linseed")
    for name in ("Potash feldspar", "Frit L", "Whiting", "Kaolin"):
        filed(name)
    filed("Silica", quartz("98", fine="60"))
    Material.objects.filter(name="Red iron oxide").update(hazard_words="alkaline, irritant")
    label = print_bucket_label(fill=in_use("B05", recipe=version.recipe), by=technician)
    row = label.classification
    printed = {block.kind: block for block in label_words(label, str).blocks}
    pages = [
        words_of(client.get(reverse("classification", args=[row.number]))),
        words_of(client.get(reverse("version-hazards", args=[version.pk]))),
    ]
    for kind in ("contains", "marks"):
        told = [text for _, text in printed[kind].pieces]
        assert len(told) > 1
        assert not [text for text in told if text.rstrip(",.") not in pages[0]]
        of_recipe = [text for text in told if text != ASSUMED]  # what is assumed is what is in the bucket
        assert not [text for text in of_recipe if text.rstrip(",.") not in pages[1]]
    assert "Red iron oxide (alkaline, irritant)" in pages[0]
    assert "DATA MISSING: treat as hazardous dust." in pages[0]


def test_a_label_of_what_nobody_knows_does_not_say_that_it_contains_it(technician):
    row = add_container(kind="waste", what="Slops", capacity_l=D(20), by=technician)
    label = Label.objects.get(on_id=row.pk, on_kind=row._meta.label_lower)
    block = next(one for one in label_words(label, str).blocks if one.kind == "contains")
    assert (block.lead, block.pieces) == ("", (("", "Not known what is in it: treat it as hazardous."),))


def test_a_wet_result_says_by_what_it_was_got_and_the_sums_it_rests_on(client, version):
    """14.9282 % fine quartz dry, 48.3 % of the slurry dry (above): 7.21 %, below 10 and above 1."""
    page = words_of(client.get(reverse("version-hazards", args=[version.pk])))
    assert "The wet shares give: STOT RE 2." in page
    assert "by the same rules, with the shares of the column “In the bucket”" in page
    told = page[page.index("by the same rules") :]
    assert "STOT RE 2: 7.21" in told
    assert "against 1 %, met" in told
    assert "against 10 %, not met" in told


def test_the_rules_beside_each_other_name_the_eu_s_own_statements(client, technician):
    """26 parts of 104.5 with 20 % quartz is 5 %, coarse: a sheet on request (CLP Annex II 2.10)."""
    client.force_login(technician)
    derived(client, quartz("20", fine="0.1"))
    version = Version.objects.get()
    page = words_of(client.get(reverse("version-hazards", args=[version.pk])))
    row = page[page.index("On the label") :][:60]  # US suppliers add Carc. 1A to quartz (mixtures.md 6)
    assert row.startswith("On the label EUH210 H350 none"), row


def test_every_page_with_short_names_says_once_what_they_mean(client, version):
    number = Sheet.objects.get(material__name="Silica").number
    pages = [
        reverse("recipe-hazards"),
        reverse("version-hazards", args=[version.pk]),
        reverse("version-derivation", args=[version.pk]),
        reverse("sheet", args=[number]),
        reverse("binder-material", args=[Material.objects.get(name="Silica").pk]),
    ]
    for page in pages:
        said = words_of(client.get(page))
        assert said.count("What the short names mean") == 1, page
        assert said.count("STOT RE harms an organ, the lungs for instance, after long or repeated") == 1


def test_a_result_on_file_says_its_day_in_full(client, version):
    then = timezone.now() - timedelta(weeks=24)
    row = kept(mix=mix_of_version(version), what=str(version), why="a label", by=bram(), at=then, law="US")
    day = timezone.localtime(then)
    for page in (
        reverse("classification", args=[row.number]),
        reverse("classifications"),
        reverse("version-hazards", args=[version.pk]),
    ):
        assert f"24 weeks ago, {day.day} {day:%b %Y}" in words_of(client.get(page)).replace(" ,", ",")
