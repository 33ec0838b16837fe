"""The demo studio: Quillmere Clay Studio, invented from its people to its prices.

It is written by the acts of the app, in the order it would have happened, ending today. The tables are
in ``data``; each module beside them tells the acts of one noun.
"""

from datetime import datetime

from django.core.management.color import no_style
from django.db import connection, transaction

from studio import triggers
from studio.front.demo import (
    asking,
    binder,
    checks,
    coats,
    contact,
    glazes,
    making,
    people,
    precautions,
    room,
    shelf,
    store,
    today,
    watching,
)
from studio.front.demo.cast import Cast
from studio.people.models import Counter

NOUNS = (
    people,
    room,
    precautions,
    store,
    binder,
    contact,
    checks,
    glazes,
    making,
    shelf,
    coats,
    watching,
    today,
    asking,
)
LAST_LABEL = 4321  # the highest serial on the shelf; the next label gets the one after
KEPT_TABLES = {"django_content_type", "auth_permission", "django_migrations"}


@transaction.atomic
def lay(now: datetime) -> None:
    """Write the demo studio into an empty database, so that its last day is that of ``now``."""
    cast = Cast(now)
    Counter.objects.bulk_create(Counter(name=name, last=last) for name, last in FIRST_NUMBERS.items())
    told = [event for noun in NOUNS for event in noun.events(cast)]
    for _, act in sorted(told, key=lambda event: event[0]):
        act()
    Counter.objects.filter(name="label").update(last=LAST_LABEL)


@transaction.atomic
def clear() -> None:
    """Empty the demo database, history too: only here, where nothing in it is anybody's record."""
    tables = connection.introspection.django_table_names(only_existing=True, include_views=False)
    if connection.vendor == "postgresql":
        connection.check_constraints()  # nothing may be pending when a table is emptied
    with triggers.lifted():
        for statement in connection.ops.sql_flush(
            no_style(), sorted(set(tables) - KEPT_TABLES), reset_sequences=True
        ):
            with connection.cursor() as cursor:
                cursor.execute(statement)


# Series go on from numbers the studio has on paper: five requests before 301, fill 193 the first here.
FIRST_NUMBERS = {"request": -5, "fill": 192, "label": 3990}
