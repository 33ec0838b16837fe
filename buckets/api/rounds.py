"""Rounds along the shelf, for programs."""

from django.urls import URLPattern, path

from buckets.forms.rounds import BeginRoundForm, StopForm
from buckets.models import Round, Stop
from buckets.operations.rounds import begin_round, end_round, stop_at
from studio.api_kit import ListOf, One, RowOut, act_at, row_of
from studio.fields import ActForm
from studio.people.doors import needs
from studio.people.rights import SEE, USE


class RoundOut(RowOut):
    """A walk along the shelf; ``ended_at`` empty: under way."""

    class Meta:
        model = Round
        fields = ["id", "kind", "by", "started_at", "ended_at"]


class StopOut(RowOut):
    """One bucket of a round; ``passed``: it was left out, ``note`` says why."""

    class Meta:
        model = Stop
        fields = ["id", "round", "vessel", "fill", "by", "at", "passed", "note"]


@needs(SEE)
class Rounds(ListOf):
    """Rounds, the newest first."""

    operation = "rounds"
    queryset = Round.objects.all()
    serializer_class = RoundOut


@needs(SEE)
class OneRound(One):
    """One round."""

    operation = "round"
    queryset = Round.objects.all()
    serializer_class = RoundOut


_round = row_of("round", Round.objects.all())
ROUND = "rounds/<int:pk>/"

urlpatterns: list[URLPattern] = [
    path("rounds/", Rounds.as_view(), name="api-rounds"),
    act_at("rounds/", begin_round, right=USE, form=BeginRoundForm, output=RoundOut),
    path(ROUND, OneRound.as_view(), name="api-round"),
    act_at(ROUND, stop_at, right=USE, form=StopForm, output=StopOut, about=_round),
    act_at(ROUND, end_round, right=USE, form=ActForm, output=RoundOut, about=_round),
]
