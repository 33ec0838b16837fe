"""Which country's rules a recipe is classified by."""

from django import forms

from safety.classifying import LAWS
from studio.fields import ActForm
from studio.room.models import Details


class ClassifyVersionForm(ActForm):
    """The law: the studio's own unless another is chosen."""

    law = forms.ChoiceField(
        label="By the rules of",
        required=False,
        choices=[("", "where the studio is"), *((law, Details.Law(law).label) for law in LAWS)],
        error_messages={"invalid_choice": "Choose EU, US or UN."},
        help_text="Other rules than the studio's own are for reading; labels follow the studio's.",
    )
