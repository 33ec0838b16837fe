"""The demo studio laid out once for the tests of a file, at a moment of their choosing."""

from collections.abc import Iterator
from contextlib import contextmanager
from datetime import datetime

import time_machine
from django.db import transaction

from studio.front import demo


@contextmanager
def laid_at(now: datetime, django_db_blocker) -> Iterator[datetime]:
    """Inside it is ``now`` and the demo studio is in the database; afterwards neither."""
    with django_db_blocker.unblock(), time_machine.travel(now, tick=False), transaction.atomic():
        demo.lay(now)
        yield now
        transaction.set_rollback(True)
