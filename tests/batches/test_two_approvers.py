"""Two technicians approve at once: no batch number doubles, nothing is promised twice.

These tests commit for real and run in threads, each with its own connection.
"""

import threading
from decimal import Decimal

import pytest
from django.db import close_old_connections, connection

from batches.models import Batch, Request
from batches.operations.requests import approve_request, ask_for_glaze
from studio.errors import Refused
from studio.materials.models import Material
from studio.materials.queries import standing
from tests.batches import glazes

pytestmark = pytest.mark.django_db(transaction=True)
THREADS = 6


def at_once(works) -> list[str]:
    """Every work in a thread of its own, all starting together; their answers."""
    start, answers, broken = threading.Barrier(len(works)), [], []

    def run(work) -> None:
        try:
            start.wait()
            answers.append(work())
        except Exception as error:
            broken.append(repr(error))
        finally:
            close_old_connections()
            connection.close()

    threads = [threading.Thread(target=run, args=(work,)) for work in works]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    assert broken == []
    return answers


def approval(request: Request, by):
    def work() -> str:
        try:
            return approve_request(request=request, by=by).number
        except Refused as refusal:
            return type(refusal).__name__

    return work


def test_stock_for_some_is_promised_to_some_and_numbers_never_double():
    bram, _ = glazes.people()
    version = glazes.gannet_white()
    glazes.scales()
    # demo_studio.md 3: 6 699 g of Frit A; 28 of 110 parts of 8 kg are 2 036 g, so three batches and not four
    asked = [
        ask_for_glaze(version=version, wish="dry total", dry_g=Decimal(8000), by=bram) for _ in range(THREADS)
    ]
    answers = at_once([approval(row, bram) for row in asked])

    numbers = [answer for answer in answers if "-" in answer]
    assert len(numbers) == len(set(numbers)) == 3
    assert answers.count("ShortOfStock") == THREADS - 3
    assert sorted(batch.number for batch in Batch.objects.all()) == sorted(numbers)
    frit = Material.objects.get(name="Frit A")
    promised = sum(line.target_g for line in frit.batch_lines.all())
    assert (frit.reserved_g, standing([frit.pk])[frit.pk].available_g) == (promised, 6699 - promised)


def test_one_request_becomes_one_batch():
    bram, _ = glazes.people()
    glazes.scales()
    asked = ask_for_glaze(version=glazes.gannet_white(), wish="dry total", dry_g=Decimal(1000), by=bram)
    answers = at_once([approval(asked, bram)] * THREADS)
    assert answers.count("RequestNot") == THREADS - 1
    assert Batch.objects.count() == 1
