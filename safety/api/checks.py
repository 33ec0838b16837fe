"""The API of safety checks: how each stands, what was found, recording one."""

from typing import Any

from django import forms
from django.urls import URLPattern, path
from django.utils import timezone
from rest_framework import serializers

from safety import checks as asked
from safety.forms.checks import CheckForm, CleanedForm, CorrectForm
from safety.models import SafetyCheck
from safety.operations import checks as acts
from safety.views.checks import may_read
from studio.api_kit import ListOf, Question, RowOut, act_at, row_of
from studio.api_kit.asking import one_of
from studio.people.doors import needs
from studio.people.rights import BINDER, SEE, USE
from studio.room import policy


class CheckOut(RowOut):
    """A look at what keeps people safe; replaces: the wrong one whose place it takes."""

    class Meta:
        model = SafetyCheck
        fields = ["id", "kind", "person", "place", "good", "found", "replaces", "by", "at", "entered_at"]


class ChecksAsked(forms.Form):
    kind = one_of("Of this kind", SafetyCheck.Kind.choices)


@needs(SEE)
class Checks(ListOf):
    """Checks, newest first, corrected ones too; another's respirator for who keeps the binder alone."""

    operation = "checks"
    query = ChecksAsked
    queryset = SafetyCheck.objects.all()
    serializer_class = CheckOut

    def narrow(self, rows: Any, **asked_for: Any) -> Any:
        return super().narrow(may_read(rows, self.request.user), **asked_for)


class CheckStandingOut(serializers.Serializer):
    """How one kind of check stands today."""

    kind = serializers.CharField()
    person = serializers.IntegerField(allow_null=True, help_text="whose respirator; null for the room's")
    days = serializers.IntegerField(help_text="days between two checks, the studio's own rule")
    word = serializers.CharField(help_text="in order, due, never or not in order")
    sentence = serializers.CharField()
    due_on = serializers.DateField(allow_null=True, help_text="null: none is on record")
    not_to_be_used = serializers.CharField(help_text="what may not be used until it is in order; else empty")


class CheckStandingsOut(serializers.Serializer):
    """How every check stands, always in one page."""

    next = serializers.CharField(allow_null=True, help_text="null")
    previous = serializers.CharField(allow_null=True, help_text="null")
    results = CheckStandingOut(many=True)


@needs(SEE)
class ChecksDue(Question):
    """How every check stands today; respirators as in the list."""

    operation = "checks_due"
    output = CheckStandingsOut

    def find(self) -> dict[str, Any]:
        today, rules, reader = timezone.localdate(), policy.in_force(), self.request.user
        rows = [_said(row.kind, None, row.days, row.standing) for row in asked.of_the_room(today, rules)]
        kind = SafetyCheck.Kind.RESPIRATOR
        rows += [
            _said(kind.value, row.person.pk, asked.days_of(kind, rules), row.standing)
            for row in asked.respirators(today, rules)
            if row.person == reader or reader.holds(BINDER)
        ]
        return {"next": None, "previous": None, "results": rows}


def _said(kind: str, person: int | None, days: int, standing: Any) -> dict[str, Any]:
    return {
        "kind": kind,
        "person": person,
        "days": days,
        "word": standing.word,
        "sentence": standing.sentence,
        "due_on": standing.due_on,
        "not_to_be_used": asked.not_to_be_used(kind, standing),
    }


CHECK = "checks/<int:pk>/"

urlpatterns: list[URLPattern] = [
    path("checks/", Checks.as_view(), name="api-checks"),
    path("checks/due/", ChecksDue.as_view(), name="api-checks-due"),
    act_at("checks/", acts.record_check, right=BINDER, form=CheckForm, output=CheckOut),
    act_at("checks/", acts.tick_cleaning, right=USE, form=CleanedForm, output=CheckOut),
    act_at(
        CHECK,
        acts.correct_check,
        right=BINDER,
        form=CorrectForm,
        output=CheckOut,
        about=row_of("check", SafetyCheck),
    ),
]
