"""Forms for coming in: founding, inviting, joining, signing in, passwords."""

from django import forms
from django.contrib.auth.forms import AuthenticationForm
from django.core.validators import RegexValidator

from studio.fields import ActForm
from studio.people.models.members import Role
from studio.tone import speak

ROLE_CHOICES = [
    (Role.MEMBER, "member: uses the buckets, reads, reports, asks for glaze"),
    (Role.HELPER, "helper: a member who also weighs or mixes, as far as signed off"),
    (Role.TECHNICIAN, "technician: recipes, batches, buckets, store and room"),
    (Role.MANAGER, "manager: all of that, and people"),
]
USERNAME = RegexValidator(
    r"^[\w.-]{2,40}\s*$", "Two to forty letters, digits, dots or dashes, without a gap: “ilse” or “ilse.k”."
)
AGAIN = "The two are not the same. Type both once more."


def password_field(label: str, use: str, hint: str = "") -> forms.CharField:
    # Not stripped: a gap at the end of a password is part of it.
    widget = forms.PasswordInput(attrs={"autocomplete": use})
    return forms.CharField(label=label, help_text=hint, strip=False, max_length=200, widget=widget)


class NewPassword(ActForm):
    """A new password, typed twice because it cannot be seen."""

    password = password_field(
        "Password",
        "new-password",
        "At least ten characters, none of the common ones. A short sentence is good.",
    )
    again = password_field("The same password again", "new-password")

    def clean(self):
        cleaned = super().clean()
        if cleaned.get("again") and cleaned.get("password") != cleaned["again"]:
            self.add_error("again", AGAIN)
        return cleaned

    def act_args(self):
        args = super().act_args()
        del args["again"]
        return args


class ChangePassword(NewPassword):
    current = password_field("Your password now", "current-password")
    field_order = ("key", "current", "password", "again")


class Join(NewPassword):
    name = forms.CharField(
        label="Your name", max_length=80, help_text="As the studio knows you; it stands beside what you do."
    )
    username = forms.CharField(
        label="Name to sign in with",
        max_length=40,
        validators=[USERNAME],
        widget=forms.TextInput(
            attrs={"autocomplete": "username", "autocapitalize": "none", "spellcheck": "false"}
        ),
    )
    field_order = ("key", "name", "username", "password", "again")


class RoomAccount(Join):
    """The shared tablet's way in: shown as a name beside what nobody in person did."""

    field_order = ("key", "name", "username", "password", "again")

    def __init__(self, *args, **kwargs) -> None:
        super().__init__(*args, **kwargs)
        self.fields["name"].label = "What the tablet is called"
        self.fields["name"].help_text = "It stands beside a stir or a report without a name."


class Found(Join):
    code = forms.CharField(max_length=200, widget=forms.HiddenInput, required=False, empty_value="")


class Invite(ActForm):
    name = forms.CharField(
        label="Who is it for?", max_length=80, help_text="They can change it when they join."
    )
    role = forms.ChoiceField(
        label="Role", choices=ROLE_CHOICES, widget=forms.RadioSelect, initial=Role.MEMBER
    )
    days = forms.IntegerField(
        label="The link works for",
        min_value=1,
        max_value=60,
        initial=7,
        widget=forms.TextInput(attrs={"inputmode": "numeric", "autocomplete": "off"}),
        error_messages={
            "invalid": "A whole number of days, like 7.",
            "min_value": "At least one day.",
            "max_value": "At most 60 days.",
        },
    )
    days.unit = "days"  # type: ignore[attr-defined]


class LogIn(AuthenticationForm):
    """Sign in; what went wrong is said once, without telling whether the name exists."""

    # Somebody who left gets the same words: whether a name exists is nobody's business here.
    error_messages = dict.fromkeys(
        ("invalid_login", "inactive"),
        "This name and password do not belong together. Mind capital letters in the password.",
    )

    def __init__(self, *args, **kwargs) -> None:
        super().__init__(*args, **kwargs)
        speak(self.fields.values())
        self.fields["username"].label = "Name to sign in with"
        self.fields["username"].widget.attrs["spellcheck"] = "false"
