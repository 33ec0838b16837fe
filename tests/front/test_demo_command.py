"""`manage.py demo`: renews the demo studio, and touches no other."""

import pytest
from django.core.management import CommandError, call_command
from django.utils import timezone

from buckets.models import Reading
from studio import triggers
from studio.room.models import Vessel
from tests.factories import LabelFactory, VesselFactory

pytestmark = pytest.mark.django_db


def test_renewing_begins_anew_and_guards_history_again():
    LabelFactory(fill__vessel__code="X1")  # with people, a recipe and history
    call_command("demo", renew=True, verbosity=0)
    assert Vessel.objects.count() == 14
    assert triggers.missing() == []
    assert Reading.objects.filter(at__date=timezone.localdate()).exists()


def test_it_is_never_laid_out_in_a_real_studio(settings):
    settings.STUDIO_IS_DEMO = False
    VesselFactory(code="X1")
    for renew in (False, True):
        with pytest.raises(CommandError, match="your own studio"):
            call_command("demo", renew=renew)
    assert Vessel.objects.filter(code="X1").exists()
