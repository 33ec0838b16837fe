"""The API of labels: read them, say that one is on its bucket. Printing reads the bucket: see buckets."""

from typing import Any

from django import forms
from django.urls import URLPattern, path
from drf_spectacular.utils import extend_schema_field
from rest_framework import serializers

from safety.models import Label
from safety.operations.labels import apply_label, expires_at, take_off_label, waits
from studio.api_kit import ListOf, One, RowOut, act_at, row_of
from studio.api_kit.asking import RowNumber, one_of, words
from studio.fields import ActForm
from studio.people.doors import needs
from studio.people.rights import SEE, USE
from studio.room import policy


class LabelOut(RowOut):
    """A printed label with its own copy of what it says; only one in force may be dipped by."""

    in_force = serializers.SerializerMethodField(help_text="false: void, take it off")
    expires_at = serializers.SerializerMethodField(
        help_text="until when it may be put on its bucket; null: it is on it, or it does not expire"
    )
    content = serializers.JSONField(
        help_text="what is printed on it, with the hazards as they were known then"
    )

    class Meta:
        model = Label
        fields = [
            "id", "serial", "purpose", "on_kind", "on_id", "vessel_code", "state", "in_force", "content",
            "print_number", "expires_at", "printed_at", "printed_by", "applied_at", "void_at", "void_reason",
            "seen_at", "taken_off_at",
        ]  # fmt: skip

    def get_in_force(self, label: Label) -> bool:
        return label.state != Label.State.VOID

    @extend_schema_field(serializers.DateTimeField(allow_null=True))
    def get_expires_at(self, label: Label) -> Any:
        if not waits(label):
            return None
        return expires_at(label.printed_at, self._rules()).isoformat()

    def _rules(self) -> policy.Policy:
        if "rules" not in self.context:
            self._context["rules"] = policy.in_force()
        return self.context["rules"]


class LabelsAsked(forms.Form):
    vessel_code = words("On the bucket with this code", 12)
    state = one_of("In this state", Label.State.choices)
    on_kind = one_of(
        "On a fill, a batch being made, a cup, a container or a lot",
        [
            ("buckets.fill", "a fill"),
            ("batches.batch", "a batch"),
            ("buckets.cup", "a cup"),
            ("safety.container", "a tub, pot, tiles or waste"),
            ("materials.lot", "a lot"),
        ],
    )
    on_id = RowNumber("Number of the row it is on, with on_kind")


@needs(SEE)
class Labels(ListOf):
    """Labels, newest first; void ones, too."""

    operation = "labels"
    query = LabelsAsked
    queryset = Label.objects.all()
    serializer_class = LabelOut


@needs(SEE)
class OneLabel(One):
    """One label by its serial."""

    operation = "label"
    queryset = Label.objects.all()
    serializer_class = LabelOut
    lookup_field = "serial"


LABEL = "labels/<str:serial>/"

urlpatterns: list[URLPattern] = [
    path("labels/", Labels.as_view(), name="api-labels"),
    path(LABEL, OneLabel.as_view(), name="api-label"),
    act_at(LABEL, take_off_label, right=USE, form=ActForm, output=LabelOut, about=row_of("label", Label)),
    act_at(LABEL, apply_label, right=USE, form=ActForm, output=LabelOut, about=row_of("label", Label)),
]
