"""`manage.py prove`: finds nothing in books kept by the acts, and names every row that was tampered with.

Amounts of the tampering are made up; what they are tampered with is a released batch of 4 kg in a pail,
with a planned one beside it.
"""

from contextlib import contextmanager
from decimal import Decimal
from io import StringIO

import pytest
from django.core.management import CommandError, call_command
from django.db import connection, transaction
from django.db.models import F

from batches.models import Batch, Line, Request, Step, Weighing
from batches.operations import weighing
from buckets.models import Care, Fill, Interval, Parent, Reading, Use
from buckets.operations.care import log_use, stir, take_back_care, take_back_use, water_in
from buckets.operations.fills import empty_fill
from buckets.operations.powder import FromLot, powder_in, shares_of
from buckets.operations.readings import record_reading, take_back_reading
from safety.models import Label
from studio import triggers
from studio.front import proof
from studio.materials.models import Lot, Material, Movement, Reservation
from studio.people.models import Counter
from studio.quantities import rounded
from studio.recipes.models import Recipe, Version
from tests import factories


@pytest.fixture
def books(db):
    """A released batch in a bucket with some history, corrections in it, and a planned batch."""
    batch = factories.BatchFactory(state="released")
    bram = factories.bram()
    fill = Fill.objects.get(parents__batch=batch)
    water = water_in(fill=fill, volume_l=Decimal("0.2"), by=bram)
    take_back_care(care=water, reason="other bucket", by=bram)
    water_in(fill=fill, volume_l=Decimal("0.1"), by=bram)
    stir(fill=fill, by=bram)
    use = log_use(fill=fill, volume_l=Decimal("0.3"), by=bram)
    take_back_use(use=use, reason="twice", by=bram)
    log_use(fill=fill, volume_l=Decimal("0.4"), by=bram)
    reading = record_reading(fill=fill, sg=Decimal("1.5"), by=bram)
    take_back_reading(reading=reading, reason="not stirred", by=bram)
    record_reading(fill=fill, sg=Decimal("1.44"), by=bram)
    other = factories.BatchFactory(request__vessel__code="B70", state="weighing")
    line = other.lines.first()
    lot = Lot.objects.get(material=line.material, state="released")
    taken = weighing.weigh_line(line=line, lot=lot, net_g=line.target_g, by=bram)
    weighing.take_back_weighing(weighing=taken, reason="wrong pot", by=bram)
    gone = factories.FillFactory(vessel__code="B71")
    empty_fill(fill=gone, why="hard as a brick", by=bram)
    factories.LabelFactory(fill=factories.FillFactory(vessel__code="B72"))
    kept, back = (powder_in(fill=fill, rows=powder_for(fill), by=bram) for _ in range(2))
    take_back_care(care=back, reason="typed twice", by=bram)
    assert kept.powder.count() == back.powder.count() == 6
    return fill


def powder_for(fill: Fill) -> list[FromLot]:
    """200 g of the fill's recipe, weighed from a lot of each material."""
    return [
        FromLot(
            lot=Lot.objects.filter(material=line.material, state="released").first(),
            net_g=rounded(share * 200, 1),
        )
        for line, share in shares_of(fill.version)
    ]


@contextmanager
def tampered():
    """Undone at the end, triggers and all, so that the books agree again after the test."""
    with transaction.atomic():
        if connection.vendor == "postgresql":
            connection.check_constraints()  # nothing may be pending when a trigger is dropped
        triggers.lift()
        yield
        transaction.set_rollback(True)


def found() -> str:
    return "\n".join(map(str, proof.problems()))


def test_books_kept_by_the_acts_agree(books):
    assert proof.problems() == []
    said = StringIO()
    call_command("prove", stdout=said)
    assert "agrees with its history" in said.getvalue()


def test_the_command_names_the_rows_and_ends_with_1(books):
    said = StringIO()
    with tampered():
        Lot.objects.filter(material__name="Silica").update(on_hand_g=Decimal("1.5"))
        triggers.lay()
        with pytest.raises(CommandError, match="1 rows do not agree") as refused:
            call_command("prove", stdout=said)
    assert refused.value.returncode == 1
    assert "holds 1.5\u00a0g, its ledger adds up to" in said.getvalue()


def one(model, **which):
    """The first row, as a queryset that can be updated."""
    return model.objects.filter(pk=model.objects.filter(**which).order_by("pk").values("pk")[:1].get()["pk"])


TAMPERINGS = {
    "a lot's balance": (lambda: one(Lot).update(on_hand_g=F("on_hand_g") + 1000), "its ledger adds up to"),
    "a used-up lot with powder": (lambda: one(Lot).update(state="used up"), "is used up and holds"),
    "a movement's running balance": (
        lambda: one(Movement).update(on_hand_after_g=Decimal(7)),
        "says 7\u00a0g afterwards",
    ),
    "a movement of another material": (
        lambda: one(Movement).update(material=Material.objects.last()),
        "another material than that of its lot",
    ),
    "a reversed movement's money": (
        lambda: one(Movement, reverses__isnull=False).update(cost=Decimal("0.5")),
        "does not undo movement",
    ),
    "powder of another weight": (
        lambda: one(Care, kind="powder in").update(mass_g=Decimal(1)),
        "says 1.000 g of powder, its lots lost",
    ),
    "powder half in its lots again": (
        lambda: one(Care, kind="powder in", reverses__isnull=False).update(reverses=None),
        "of its powder back in the lots",
    ),
    "what is owned": (lambda: one(Material).update(owned_g=Decimal(5)), "owns 5\u00a0g"),
    "what it is worth": (lambda: one(Material).update(value=Decimal(5)), "is worth 5.0000, its ledger"),
    "worth below nought": (lambda: one(Material).update(value=Decimal(-5)), "is worth -5.0000 with"),
    "what is promised": (lambda: one(Material).update(reserved_g=Decimal(5)), "has 5\u00a0g promised"),
    "a promise to a released batch": (
        lambda: one(Reservation).update(mass_g=F("mass_g") + 1000),
        "still needs 0\u00a0g",
    ),
    "a promise to nobody": (lambda: one(Reservation).update(what="the cat"), "the cat, line 1"),
    "an open line without its promise": (
        lambda: Reservation.objects.filter(what=f"batch {weighed_now()}").update(mass_g=0),
        "is promised 0\u00a0g",
    ),
    "a weighed line": (lambda: one(Line).update(weighed_g=F("weighed_g") + 1), "its weighings add up to"),
    "a target that moved": (
        lambda: one(Line).update(target_g=F("target_g") + 1000000),
        "is outside its band",
    ),
    "a line not done in its band": (lambda: one(Line).update(done_at=None), "lie in its band"),
    "a weighing from another lot": (
        lambda: one(Weighing).update(lot=Lot.objects.last()),
        "is not what movement",
    ),
    "a weighing of another weight": (lambda: one(Weighing).update(net_g=Decimal(1)), "is not what movement"),
    "a weighing badly undone": (
        lambda: one(Weighing, reverses__isnull=False).update(line=Line.objects.latest("pk")),
        "does not undo weighing",
    ),
    "a step taken back by another kind": (
        lambda: one(Step, kind="reading").update(reverses=one(Step, kind="water").get()),
        "of another kind or batch",
    ),
    "a batch's dry mass": (
        lambda: one(Batch).update(dry_g=Decimal(9)),
        "is 9\u00a0g dry, its lines add up to",
    ),
    "a batch set back": (lambda: one(Batch).update(state="planned"), "is planned, but weighing began"),
    "a batch never frozen": (lambda: one(Batch).update(frozen_at=None), "never frozen"),
    "a batch wet too early": (
        lambda: one(Batch, state="weighing").update(state="wet"),
        "is wet with a line that is not done",
    ),
    "a batch still weighing": (
        lambda: one(Batch, state="released").update(state="paused", closed_at=None),
        "is paused, but every line is done",
    ),
    "a batch released and open": (
        lambda: one(Batch, state="released").update(closed_at=None),
        "without the time it was closed",
    ),
    "a batch open and closed": (
        lambda: one(Batch, state="weighing").update(closed_at=F("made_at")),
        "is weighing and closed",
    ),
    "a batch of a draft": (
        lambda: Version.objects.update(state="draft"),
        "is made from a version that is not approved",
    ),
    "a request set back": (
        lambda: one(Request, state="made").update(state="asked"),
        "but its batch was poured",
    ),
    "a request without a batch": (lambda: one(Batch).update(request=None), "without a batch"),
    "a declined request with a batch": (lambda: one(Request).update(state="declined"), "and has a batch"),
    "a version in force that is a draft": (
        lambda: Version.objects.update(state="draft", decided_at=None, decided_by=None),
        "not an approved one of its own",
    ),
    "a version in force of another recipe": (
        lambda: one(Recipe).update(
            current=Version.objects.exclude(recipe=Recipe.objects.earliest("pk")).first()
        ),
        "not an approved one of its own",
    ),
    "a version nobody approved": (lambda: one(Version).update(decided_at=None), "nobody decided"),
    "a draft somebody decided on": (lambda: one(Version).update(state="draft"), "somebody decided on"),
    "a version approved by its maker": (
        lambda: one(Version).update(decided_by=F("made_by")),
        "approved by the person who made it",
    ),
    "a version that is missing": (lambda: one(Version).update(number=3), "has 1 versions, the last is 3"),
    "a recipe without base": (
        lambda: Version.objects.first().lines.update(kind="addition"),
        "has no line in its base",
    ),
    "a line that is missing": (
        lambda: Version.objects.first().lines.filter(position=2).delete(),
        "has 5 lines numbered 1 to 6",
    ),
    "a fill emptied in words": (lambda: one(Fill).update(state="emptied"), "is emptied, emptied at None"),
    "a reason without a hold": (lambda: one(Fill).update(held_reason="blue specks"), "is not held, but"),
    "a level": (
        lambda: one(Fill).update(volume_l=Decimal("0.5")),
        "carries volume_l 0.500, its history says",
    ),
    "a reading forgotten": (lambda: one(Fill).update(check_reading=None), "carries check_reading_id None"),
    "a reading that was taken back": (
        lambda: one(Fill).update(check_reading=Reading.objects.filter(replaced_by__isnull=False).get()),
        "carries check_reading_id",
    ),
    "a member's reading from nowhere": (
        lambda: one(Fill).update(member_reading=Reading.objects.first()),
        "its history says None",
    ),
    "what was left over": (lambda: one(Interval).update(residual=Decimal("0.5")), "keeps residual 0.50000"),
    "what was expected": (lambda: one(Interval).update(predicted_sg=None), "keeps predicted_sg None"),
    "an interval forgotten": (lambda: one(Interval).delete(), "has no interval up to reading"),
    "an interval too many": (
        lambda: one(Interval).update(reading=Reading.objects.filter(replaced_by__isnull=False).get()),
        "where none ends",
    ),
    "residuals not counted": (lambda: one(Fill).update(residual_count=0), "carries residual_count 0"),
    "residuals not summed": (
        lambda: one(Fill).update(residual_sum=Decimal(1)),
        "carries residual_sum 1.00000",
    ),
    "a question out of nothing": (
        lambda: one(Fill).update(unexplained=Reading.objects.first()),
        "carries unexplained_id",
    ),
    "an edge out of nothing": (lambda: one(Fill).update(edge_at=F("poured_at")), "carries edge_at"),
    "a stir forgotten": (lambda: one(Fill).update(stirred_at=None), "carries stirred_at None"),
    "somebody else's stir": (
        lambda: one(Fill).update(stirred_by=factories.tamsin()),
        "carries stirred_by_id",
    ),
    "shares": (lambda: one(Parent).update(dry_share=Decimal("0.9")), "add up to 0.900000"),
    "shares of versions": (
        lambda: one(Fill).update(made_of=[{"version": None, "name": "Moss", "share": "0.900000"}]),
        "versions whose shares add up to 0.900000",
    ),
    "a label on a cup that is gone": (
        lambda: one(Label, purpose="bucket", state="printed").update(on_kind="buckets.cup", on_id=999999),
        "in force on a cup that is gone",
    ),
    "a fill from nowhere": (lambda: one(Parent).delete(), "add up to None"),
    "a fill that is its own parent": (
        lambda: one(Parent, batch__isnull=True).update(parent_fill=F("fill")),
        "a parent that cannot be one",
    ),
    "a fill of a batch not poured": (
        lambda: one(Parent, batch__isnull=False).update(batch=one(Batch, state="weighing").get()),
        "which is weighing",
    ),
    "a batch in two buckets": (
        lambda: Parent.objects.update(batch=one(Batch, state="released").get()),
        "was poured into",
    ),
    "a history unknown to its parents": (
        lambda: one(Fill).update(history_unknown=True),
        "whether its history is known",
    ),
    "a reading replaced from another bucket": (
        lambda: one(Reading, replaces__isnull=False).update(fill=Fill.objects.latest("pk")),
        "which it cannot",
    ),
    "care taken back by another kind": (
        lambda: one(Care, reverses__isnull=False).update(kind="stirred"),
        "of another kind or fill",
    ),
    "use taken back by half": (
        lambda: one(Use, reverses__isnull=False).update(volume_l=Decimal("0.1")),
        "of another fill or amount",
    ),
    "a label on an emptied fill": (
        lambda: one(Label, on_kind="buckets.fill").update(
            state="applied", void_at=None, on_id=Fill.objects.filter(state="emptied").get().pk
        ),
        "not in a bucket any more",
    ),
    "a label on a closed batch": (
        lambda: one(Label, purpose="working", state="void").update(state="applied", void_at=None),
        "poured or closed",
    ),
    "a label of another bucket": (
        lambda: one(Label, purpose="bucket", state="printed").update(vessel_code="B99"),
        "says B99, its fill is in",
    ),
    "a void label without a time": (
        lambda: one(Label, state="void").update(void_at=None),
        "is void, void at None",
    ),
    "a label on something else": (
        lambda: one(Label, state="printed").update(on_kind="room.vessel"),
        "which bears no label",
    ),
    "two labels in force": (
        lambda: Label.objects.filter(purpose="working", state="void").update(
            state="printed", void_at=None, on_kind="buckets.fill", on_id=one(Fill).get().pk
        ),
        "has 2 labels in force",
    ),
    "a counter set back": (
        lambda: Counter.objects.filter(name="fill").update(last=0),
        "counter fill: stands at 0",
    ),
    "a counter of batches": (
        lambda: Counter.objects.filter(name__startswith="batch").delete(),
        "stands at 0, but 2 was given out",
    ),
    "a counter of requests": (lambda: Counter.objects.filter(name="request").delete(), "counter request"),
    "a counter of labels": (lambda: Counter.objects.filter(name="label").delete(), "counter label"),
}


def weighed_now() -> str:
    return Batch.objects.get(state="weighing").number


def test_every_tampering_is_found(books):
    missed = {}
    for what, (tamper, sentence) in TAMPERINGS.items():
        with tampered():
            tamper()
            triggers.lay()
            if sentence not in (told := found()):
                missed[what] = told
    assert missed == {}


def test_a_table_without_its_triggers_is_found(books):
    with tampered():
        assert "table materials_movement: lacks the triggers" in found()


def test_a_small_pot_taken_back_may_leave_a_line_in_its_band(books):
    """A line done in its band with what is left stays done: nothing more is to be weighed."""
    bram, batch = factories.bram(), Batch.objects.get(state="weighing")
    line = batch.lines.first()
    lot = Lot.objects.get(material=line.material, state="released")
    small = weighing.weigh_line(line=line, lot=lot, net_g=Decimal("0.3"), part=True, by=bram)
    weighing.weigh_line(line=line, lot=lot, net_g=line.target_g, by=bram)
    weighing.take_back_weighing(weighing=small, reason="other bucket", by=bram)
    line.refresh_from_db()
    assert line.weighed_g == line.target_g
    assert line.done_at is not None
