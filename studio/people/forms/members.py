"""Forms about a person: who they are, what they are signed off for, their tokens."""

from datetime import timedelta

from django import forms
from django.utils import timezone

from studio.fields import ActForm
from studio.people.forms.joining import ROLE_CHOICES
from studio.people.models import SignOff
from studio.people.models.members import Units

KIND_CHOICES = [
    (SignOff.Kind.DIPPING, "dipping"),
    (SignOff.Kind.SG, "SG: taking a specific gravity"),
    (SignOff.Kind.WET, "wet mixing: water, sieve, first reading of a batch"),
    (SignOff.Kind.WEIGHING, "weighing: the lines of a batch"),
    (SignOff.Kind.HAZARDOUS, "hazardous: materials that need more than a dust mask"),
    (SignOff.Kind.KILN, "kiln"),
]


def in_a_year():
    return timezone.localdate() + timedelta(days=365)


class ChangeMember(ActForm):
    name = forms.CharField(label="Name", max_length=80)
    role = forms.ChoiceField(label="Role", choices=ROLE_CHOICES, widget=forms.RadioSelect)


class OwnDetails(ActForm):
    name = forms.CharField(label="Name", max_length=80)
    units = forms.ChoiceField(label="Amounts are shown in", choices=Units.choices, widget=forms.RadioSelect)


class GiveSignOff(ActForm):
    kind = forms.ChoiceField(label="Signed off for", choices=KIND_CHOICES, widget=forms.RadioSelect)
    expires_on = forms.DateField(
        label="Until, that day included",
        initial=in_a_year,
        widget=forms.DateInput(attrs={"type": "date"}, format="%Y-%m-%d"),
        error_messages={"invalid": "A day like 2027-03-31."},
    )


class MakeToken(ActForm):
    name = forms.CharField(
        label="What is it for?", max_length=60, help_text="The program's name, so that you know it again."
    )
