"""A repeat batch released before its tile: only when recipe and lots are proven; the tile stays due."""

from decimal import Decimal
from uuid import uuid4

import pytest
from django.urls import reverse

from batches.models import Batch
from buckets.models import Fill
from buckets.operations.fills import empty_fill
from buckets.operations.holding import hold_fill, release_fill
from buckets.operations.untiled import conditions, judge_tile, release_untiled
from safety.models import Label
from studio.errors import NotAllowed, Refused
from studio.materials.models import Lot
from studio.recipes.operations.recipes import approve_version, retire_recipe
from studio.recipes.operations.versions import add_version
from tests.batches.words import words_of
from tests.factories import (
    BatchFactory,
    LotFactory,
    RequestFactory,
    VersionFactory,
    VesselFactory,
    bram,
    linseed_lines,
    tamsin,
)

pytestmark = pytest.mark.django_db
D = Decimal
WHY = "class on Thursday"


def made(version, state: str = "testing", code: str = "B31") -> Batch:
    request = RequestFactory(version=version, vessel=VesselFactory(code=code))
    return BatchFactory(state=state, request=request)


def fill_of(batch: Batch) -> Fill:
    return Fill.objects.select_related("vessel").get(parents__batch=batch)


@pytest.fixture
def version(db):
    return VersionFactory()


@pytest.fixture
def repeat(version):
    """The second batch of a version whose first one was released on its tile; the same lots."""
    made(version, "released", "B30")
    return fill_of(made(version))


def test_a_repeat_batch_goes_into_use_and_its_tile_is_due(repeat, technician):
    fill = release_untiled(fill=repeat, reason=WHY, by=technician)
    assert (fill.state, fill.tile_due) == ("in use", True)
    assert fill.released_at is not None
    assert fill.parents.get().batch.state == "released"
    label = Label.objects.exclude(state="void").get(on_kind="buckets.fill", on_id=fill.pk)
    assert label.content["state"] == "in use, tile due"


def test_the_bucket_says_tile_due_until_it_is_judged(client, repeat, technician):
    release_untiled(fill=repeat, reason=WHY, by=technician)
    client.force_login(technician)
    page = words_of(client.get("/shelf/B31/"))
    assert "tile due" in page
    assert "Judge its tile" in page
    assert WHY in page  # in the story
    judge_tile(fill=repeat, good=True, words="as the recipe's own", by=technician)
    page = words_of(client.get("/shelf/B31/"))
    assert "Judge its tile" not in page
    repeat.refresh_from_db()
    assert (repeat.tile_due, repeat.held) == (False, False)


def test_a_bad_tile_holds_the_bucket(repeat, technician):
    release_untiled(fill=repeat, reason=WHY, by=technician)
    judge_tile(fill=repeat, good=False, words="crawls", by=technician)
    repeat.refresh_from_db()
    assert (repeat.tile_due, repeat.held_reason) == (False, "its tile is bad: crawls")


def missing(fill, by) -> str:
    with pytest.raises(Refused) as refused:
        release_untiled(fill=fill, reason=WHY, by=by)
    fill.refresh_from_db()
    assert (fill.state, fill.tile_due) == ("testing", False)
    return refused.value.sentence


def test_a_first_batch_waits_for_its_tile(version, technician):
    said = missing(fill_of(made(version)), technician)
    assert "It has to wait for its tile" in said
    assert "No batch of this version was released" in said
    assert "No earlier released batch used lot" in said


def test_a_new_lot_is_named(version, technician):
    made(version, "released", "B30")
    used = Lot.objects.filter(material__name="Silica", state="released").get()
    fresh = LotFactory(material=used.material, code="SI-99")
    Lot.objects.filter(pk=used.pk).update(state="used up")
    fill = fill_of(made(version))
    Lot.objects.filter(pk=used.pk).update(state="released")
    said = missing(fill, technician)
    assert said == "It has to wait for its tile. No earlier released batch used lot SI-99."
    assert fresh.code == "SI-99"


def test_a_batch_whose_own_tile_is_still_due_proves_nothing(version, technician):
    """Otherwise one tile would let any number of batches through, each resting on the one before."""
    made(version, "released", "B30")
    second = fill_of(made(version, code="B31"))
    release_untiled(fill=second, reason=WHY, by=technician)
    first = Batch.objects.order_by("pk").first()
    Fill.objects.filter(parents__batch=first).update(tile_due=True)
    third = fill_of(made(version, code="B32"))
    assert "No batch of this version" in missing(third, technician)
    Fill.objects.filter(parents__batch=first).update(tile_due=False)
    release_untiled(fill=third, reason=WHY, by=technician)


def test_a_version_that_was_followed_by_another_waits(repeat, version, technician):
    newer = add_version(
        recipe=version.recipe, lines=linseed_lines(), reason="less silica", target_sg=D("1.43"), by=technician
    )
    approve_version(version=newer, by=tamsin())
    assert "not the approved one in force any more" in missing(repeat, technician)


def test_a_retired_recipe_waits(repeat, version, technician):
    retire_recipe(recipe=version.recipe, reason="crawls", by=technician)
    assert "is retired" in missing(repeat, technician)


def test_what_was_found_on_the_shelf_has_no_batch_to_go_by(technician):
    from tests.buckets.rows import found

    assert "poured from a batch made here" in missing(found("B02"), technician)


def test_glaze_poured_onto_something_untested_waits(technician):
    """The old glaze under it must have been in use: its share is untested else."""
    from tests.buckets import restock

    old = restock.b02()  # taken over and never released
    fill = restock.poured(old)
    said = [condition.words for condition in conditions(fill) if not condition.met]
    assert f"The glaze it was poured onto (fill {old.number}) was never released into use." in said


@pytest.mark.parametrize("reason", ["", "   "])
def test_it_needs_a_reason(repeat, technician, reason):
    with pytest.raises(Refused) as refused:
        release_untiled(fill=repeat, reason=reason, by=technician)
    assert refused.value.field == "reason"


def test_only_a_technician_and_not_what_is_held_in_use_or_gone(repeat, technician, member, helper):
    for by in (member, helper):
        with pytest.raises(NotAllowed):
            release_untiled(fill=repeat, reason=WHY, by=by)
    hold_fill(fill=repeat, reason="specks", by=technician)
    with pytest.raises(Refused, match="is held"):
        release_untiled(fill=repeat, reason=WHY, by=technician)
    other = fill_of(made(repeat.version, code="B33"))
    release_fill(fill=other, by=technician)
    with pytest.raises(Refused, match="already"):
        release_untiled(fill=other, reason=WHY, by=technician)
    empty_fill(fill=repeat, why="to waste", by=technician)
    with pytest.raises(Refused, match="emptied"):
        release_untiled(fill=repeat, reason=WHY, by=technician)


def test_a_tile_that_is_not_due_is_not_judged(repeat, technician):
    with pytest.raises(Refused, match="No tile is due"):
        judge_tile(fill=repeat, good=True, words="fine", by=technician)


def test_the_page_shows_each_condition_and_offers_it_only_when_all_are_met(client, version, technician):
    first = fill_of(made(version, code="B31"))
    client.force_login(technician)
    page = words_of(client.get(reverse("release-untiled", args=["B31"])))
    assert "Missing:" in page
    assert "Release it, its tile due" not in page
    release_fill(fill=first, by=technician)
    fill = fill_of(made(version, code="B32"))
    address = reverse("release-untiled", args=["B32"])
    page = words_of(client.get(address))
    assert "Missing:" not in page
    assert "Every lot in it was used" in page
    answer = client.post(address, {"fill": fill.pk, "key": uuid4(), "reason": WHY})
    assert answer.status_code == 303


@pytest.mark.parametrize(("tile", "held"), [("good", False), ("bad", True)])
def test_the_tile_is_judged_on_its_page(client, repeat, technician, tile, held):
    release_untiled(fill=repeat, reason=WHY, by=technician)
    client.force_login(technician)
    answer = client.post(
        reverse("judge-tile", args=["B31"]),
        {"fill": repeat.pk, "key": uuid4(), "tile": tile, "words": "beside the old one"},
    )
    assert answer.status_code == 303
    repeat.refresh_from_db()
    assert (repeat.tile_due, repeat.held) == (False, held)


WRONG = [
    ("release-untiled", {"reason": ""}, "reason", "can't wait"),
    ("release-untiled", {"reason": " "}, "reason", "can't wait"),
    ("release-untiled", {"reason": "r" * 201}, "reason", "At most 200"),
    ("release-untiled", {"reason": "x\0y"}, "reason", ""),
    ("release-untiled", {"fill": "999999"}, "__all__", "another bucket"),
    ("release-untiled", {"key": "no key"}, "key", "lost its key"),
    ("judge-tile", {"tile": ""}, "tile", "Good or bad"),
    ("judge-tile", {"tile": "so so"}, "tile", "Good or bad"),
    ("judge-tile", {"tile": "GOOD"}, "tile", "Good or bad"),
    ("judge-tile", {"tile": "1"}, "tile", "Good or bad"),
    ("judge-tile", {"tile": "true"}, "tile", "Good or bad"),
    ("judge-tile", {"tile": "bad "}, "tile", "Good or bad"),
    ("judge-tile", {"words": ""}, "words", "what the tile shows"),
    ("judge-tile", {"words": "  "}, "words", "what the tile shows"),
    ("judge-tile", {"words": "w" * 201}, "words", "At most 200"),
    ("judge-tile", {"words": "x\0y"}, "words", ""),
    ("judge-tile", {"fill": ""}, "__all__", "another bucket"),
    ("judge-tile", {"key": ""}, "key", "lost its key"),
]


@pytest.mark.parametrize(("name", "change", "field", "sentence"), WRONG)
def test_wrong_input_is_said_beside_its_field_and_writes_nothing(
    client, repeat, name, change, field, sentence
):
    technician = bram()
    if name == "judge-tile":
        release_untiled(fill=repeat, reason=WHY, by=technician)
    repeat.refresh_from_db()
    before = (repeat.state, repeat.tile_due, Label.objects.count())
    client.force_login(technician)
    good = {"fill": repeat.pk, "key": uuid4(), "reason": WHY, "tile": "good", "words": "fine"}
    answer = client.post(reverse(name, args=["B31"]), {**good, **change})
    assert answer.status_code == 422
    assert sentence in " ".join(answer.context["form"].errors[field]).replace("\xa0", " ").replace("’", "'")
    repeat.refresh_from_db()
    assert (repeat.state, repeat.tile_due, Label.objects.count()) == before
