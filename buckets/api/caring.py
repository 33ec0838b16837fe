"""The API of what changes a fill: powder, water off, additives, thaw, hard settling, reclaim."""

from django.urls import URLPattern

from buckets import serializers as out
from buckets.api.on import on_fill
from buckets.forms import caring
from buckets.operations import additives, care, powder, reclaim
from studio.api_kit import act_at
from studio.people.rights import MAKE, WET

urlpatterns: list[URLPattern] = [
    act_at("fills/", reclaim.begin_reclaim, right=MAKE, form=caring.BeginReclaimForm, output=out.FillOut),
    on_fill(powder.powder_in, MAKE, caring.PowderForm, out.CareOut),
    on_fill(care.water_off, WET, caring.WaterOffForm, out.CareOut),
    on_fill(additives.additive_in, WET, caring.AdditiveForm, out.CareOut),
    on_fill(care.thaw_fill, WET, caring.RecoverForm, out.CareOut),
    on_fill(care.loosen, WET, caring.RecoverForm, out.CareOut),
    on_fill(reclaim.pour_into_reclaim, WET, caring.PourReclaimForm, out.CareOut),
]
