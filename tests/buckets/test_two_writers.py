"""Two people pour out of one spare bucket at once: its litres are given out once, on both databases.

These tests commit for real and run in threads, each with its own connection.
"""

import threading
from decimal import Decimal

import pytest
from django.db import close_old_connections, connection

from buckets.models import Care, Fill
from buckets.operations.lineage import blend_fill, split_fill
from buckets.operations.readings import record_reading
from studio.errors import Refused
from tests.buckets.rows import in_use, pail
from tests.factories import VersionFactory, bram

pytestmark = pytest.mark.django_db(transaction=True)
D = Decimal


def measured(code: str, litres: str, recipe) -> Fill:
    fill = in_use(code, litres=litres, recipe=recipe)
    record_reading(fill=fill, sg=D("1.44"), by=bram())
    return fill


def at_once(*works) -> list[str]:
    """Each in a thread of its own, all starting together: "done", or the sentence of the refusal."""
    start, answers = threading.Barrier(len(works)), [""] * len(works)

    def run(number: int) -> None:
        try:
            start.wait()
            works[number]()
            answers[number] = "done"
        except Refused as refusal:
            answers[number] = refusal.sentence
        except Exception as error:
            answers[number] = repr(error)
        finally:
            close_old_connections()
            connection.close()

    threads = [threading.Thread(target=run, args=(number,)) for number in range(len(works))]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    return answers


def recipe_of_linseed():
    recipe = VersionFactory(name="Linseed").recipe
    recipe.refresh_from_db()
    return recipe


@pytest.mark.parametrize("litres", ["2", "3"])
def test_a_spare_bucket_is_given_out_once(litres):
    """3 L are there; two people want 2 L, or all 3 L, each for a bucket of their own: one of them gets it."""
    recipe, by = recipe_of_linseed(), bram()
    spare = measured("B13", "3", recipe)
    here = [measured(code, "5", recipe) for code in ("B04", "B05")]

    def pour(fill):
        return lambda: blend_fill(fill=fill, spare=spare, volume_l=D(litres), stirred=True, by=by)

    answers = at_once(*(pour(fill) for fill in here))
    assert sorted(answer == "done" for answer in answers) == [False, True]
    (refused,) = [answer for answer in answers if answer != "done"]
    assert "B13" in refused
    spare.refresh_from_db()
    assert spare.volume_l == 3 - D(litres)
    assert Care.objects.filter(fill=spare, kind="split").count() == 1
    assert sum(fill.volume_l for fill in Fill.objects.filter(emptied_at=None)) == 13


def test_two_who_mix_each_others_buckets_do_not_wait_for_ever():
    """B04 into B05 and B05 into B04 at once: locked in one order, one is done, the other refused."""
    recipe, by = recipe_of_linseed(), bram()
    one, other = measured("B04", "5", recipe), measured("B05", "5", recipe)
    answers = at_once(
        lambda: blend_fill(fill=one, spare=other, volume_l=D(5), stirred=True, by=by),
        lambda: blend_fill(fill=other, spare=one, volume_l=D(5), stirred=True, by=by),
    )
    assert sorted(answer == "done" for answer in answers) == [False, True]
    assert Fill.objects.get(emptied_at=None).volume_l == 10


def test_one_empty_bucket_is_filled_once():
    recipe, by = recipe_of_linseed(), bram()
    fills = [measured(code, "5", recipe) for code in ("B04", "B05")]
    empty = pail("B12")

    def split(fill):
        return lambda: split_fill(fill=fill, vessel=empty, volume_l=D(1), stirred=True, by=by)

    answers = at_once(*(split(fill) for fill in fills))
    assert sorted(answer == "done" for answer in answers) == [False, True]
    assert "B12 already holds Linseed" in "".join(answers)
    assert sum(fill.volume_l for fill in Fill.objects.filter(emptied_at=None)) == 10
