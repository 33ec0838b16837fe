"""After a test that wrote, the books are proved: `manage.py prove` must find nothing."""

import pytest
from django.db import connection

from batches.models import Batch
from buckets.models import Fill
from safety.models import Incident, Label, SafetyCheck
from studio.front import proof
from studio.materials.models import Material
from studio.recipes.models import Recipe

KEPT = (
    Material,
    Recipe,
    Batch,
    Fill,
    Label,
    Incident,
    SafetyCheck,
)  # without a row of these there is nothing to prove


def refuse_ill_kept() -> None:
    """Fail the running test with every row that does not agree with the rest."""
    if connection.needs_rollback or not any(kind.objects.exists() for kind in KEPT):
        return
    if found := proof.problems():
        pytest.fail("The books do not agree:\n" + "\n".join(map(str, found)), pytrace=False)
