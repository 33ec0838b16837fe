"""The API of what changes a fill: powder, water off, additives, thaw, hard settling, reclaim."""

from typing import Any

from django.shortcuts import get_object_or_404
from django.urls import URLPattern, path

from buckets import serializers as out
from buckets.api.on import FILL, on_fill
from buckets.forms import caring
from buckets.models import Fill
from buckets.operations import additives, care, powder, reclaim
from buckets.worth import left_in
from studio.api_kit import Question, act_at
from studio.people.doors import needs
from studio.people.rights import MAKE, SEE, WET


@needs(SEE)
class LeftInFill(Question):
    """What a fill holds and what that is worth: what would be written off if it were emptied now."""

    operation = "left_in_fill"
    output = out.LeftOut

    def find(self, pk: int) -> Any:
        fill = get_object_or_404(
            Fill.objects.select_related("vessel", "check_reading", "member_reading"), pk=pk
        )
        return left_in(fill)


urlpatterns: list[URLPattern] = [
    path(f"{FILL}left/", LeftInFill.as_view(), name="api-left-in-fill"),
    act_at("fills/", reclaim.begin_reclaim, right=MAKE, form=caring.BeginReclaimForm, output=out.FillOut),
    on_fill(powder.powder_in, MAKE, caring.PowderForm, out.CareOut),
    on_fill(care.water_off, WET, caring.WaterOffForm, out.CareOut),
    on_fill(additives.additive_in, WET, caring.AdditiveForm, out.CareOut),
    on_fill(care.thaw_fill, WET, caring.RecoverForm, out.CareOut),
    on_fill(care.loosen, WET, caring.RecoverForm, out.CareOut),
    on_fill(reclaim.pour_into_reclaim, WET, caring.PourReclaimForm, out.CareOut),
]
