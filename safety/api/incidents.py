"""The API of spills and injuries: reporting is for anybody, reading for those it is for.

Rows are known by their numbers alone. Both kinds lie in one table, so a gap in its ids would tell the
reader of spills that somebody was hurt.
"""

from typing import Any

from django import forms
from django.urls import URLPattern, path
from rest_framework import serializers

from safety import incidents as asked
from safety.forms.incidents import AftermathForm, InjuryForm, SpillForm
from safety.models import Aftermath, Incident
from safety.operations import incidents as acts
from studio.api_kit import ListOf, One, Pages, RowOut, act_at, row_of
from studio.api_kit.asking import one_of
from studio.people.doors import needs
from studio.people.rights import BINDER, PRIVATE, STIR


class SpillReportedOut(RowOut):
    """The number of a report, for whoever made it; what it says is not handed back."""

    class Meta:
        model = Incident
        fields = ["number", "at", "entered_at"]


class InjuryReportedOut(RowOut):
    """That it is written down, for whoever reported it; a number would tell of others before it."""

    class Meta:
        model = Incident
        fields = ["at", "entered_at"]


class AftermathOut(RowOut):
    """What became of it; the last one says whether it is closed."""

    class Meta:
        model = Aftermath
        fields = ["what", "closes", "by", "at"]


class AddedOut(AftermathOut):
    """What was added, and to which."""

    number = serializers.IntegerField(source="incident.number", help_text="of the spill or injury")

    class Meta:
        model = Aftermath
        fields = ["number", "what", "closes", "by", "at", "entered_at"]


class IncidentOut(RowOut):
    """A spill or an injury and what became of it."""

    closed = serializers.BooleanField(help_text="whether what was added last closes it")
    aftermath = AftermathOut(many=True)

    class Meta:
        model = Incident
        fields = [
            "number", "place", "material", "what", "done", "closed", "aftermath", "by", "at",
            "entered_at",
        ]  # fmt: skip


class IncidentsAsked(forms.Form):
    closed = one_of("Closed ones, or open ones", [("yes", "closed"), ("no", "open")])


class _ByNumber(Pages):
    ordering = "-number"  # a cursor of ids would show their gaps


class _Incidents(ListOf):
    pagination_class = _ByNumber
    query = IncidentsAsked
    serializer_class = IncidentOut

    def narrow(self, rows: Any, **asked_for: Any) -> Any:
        closed = asked_for.pop("closed")
        rows = rows.filter(closed=closed == "yes") if closed else rows
        return super().narrow(rows, **asked_for)


@needs(BINDER)
class Spills(_Incidents):
    """Spills, newest first."""

    operation = "spills"
    queryset = asked.spills().prefetch_related("aftermath")


@needs(BINDER)
class OneSpill(One):
    """One spill by its number."""

    operation = "spill"
    queryset = asked.spills().prefetch_related("aftermath")
    serializer_class = IncidentOut
    lookup_field = "number"


@needs(PRIVATE)
class Injuries(_Incidents):
    """Injuries, newest first, for managers alone."""

    operation = "injuries"
    queryset = asked.injuries().prefetch_related("aftermath")


@needs(PRIVATE)
class OneInjury(One):
    """One injury by its number, for managers alone."""

    operation = "injury"
    queryset = asked.injuries().prefetch_related("aftermath")
    serializer_class = IncidentOut
    lookup_field = "number"


SPILL, INJURY = "spills/<int:number>/", "injuries/<int:number>/"

urlpatterns: list[URLPattern] = [
    path("spills/", Spills.as_view(), name="api-spills"),
    path(SPILL, OneSpill.as_view(), name="api-spill"),
    act_at("spills/", acts.report_spill, right=STIR, form=SpillForm, output=SpillReportedOut),
    act_at(
        SPILL,
        acts.add_to_spill,
        right=BINDER,
        form=AftermathForm,
        output=AddedOut,
        about=row_of("spill", asked.spills()),
    ),
    path("injuries/", Injuries.as_view(), name="api-injuries"),
    path(INJURY, OneInjury.as_view(), name="api-injury"),
    act_at("injuries/", acts.report_injury, right=STIR, form=InjuryForm, output=InjuryReportedOut),
    act_at(
        INJURY,
        acts.add_to_injury,
        right=PRIVATE,
        form=AftermathForm,
        output=AddedOut,
        about=row_of("injury", asked.injuries()),
    ),
]
