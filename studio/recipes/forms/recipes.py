"""Forms for what a recipe is called and said to be, and for taking it out of use."""

from django import forms

from studio.fields import ActForm, NumberField
from studio.recipes.forms.fields import COLOUR, CONE_CHOICES
from studio.recipes.models import Recipe


class DetailsFields(forms.Form):
    """What stands above the lines: the same for a new recipe and for changing one."""

    name = forms.CharField(label="Name", max_length=80, error_messages={
        "required": "A recipe needs a name.", "max_length": "A name has at most 80 letters."})  # fmt: skip
    look = forms.CharField(
        label="How it looks",
        help_text="Surface and colour in a few words: opaque gloss, clean white.",
        required=False,
        max_length=160,
        error_messages={"max_length": "Say it in at most 160 letters; the note has room for more."},
    )
    cone = forms.ChoiceField(
        label="Cone",
        choices=CONE_CHOICES,
        help_text="06 and 6 are different cones.",
        error_messages={
            "required": "Choose the cone it is fired to.",
            "invalid_choice": "Choose a cone from the list; 06 and 6 are different cones.",
        },
    )
    atmosphere = forms.ChoiceField(
        label="Atmosphere",
        choices=Recipe.Atmosphere.choices,
        initial=Recipe.Atmosphere.OXIDATION,
        widget=forms.RadioSelect,
        error_messages={
            "required": "Choose an atmosphere.",
            "invalid_choice": "Choose oxidation, reduction or neutral.",
        },
    )
    colour = forms.CharField(
        label="Colour for the dip stick",
        help_text="About what the fired glaze looks like; only a help for the eye.",
        initial="#8a8f86",
        widget=forms.ColorInput,
        validators=[COLOUR],
        error_messages={"required": "Pick a colour, like #6f9aa0."},
    )
    note = forms.CharField(
        label="What members must know",
        help_text="Where it runs, how thick, what to keep it off.",
        required=False,
        max_length=2000,
        widget=forms.Textarea(attrs={"rows": 3}),
        error_messages={"max_length": "A note has at most 2000 letters."},
    )
    settles_min = NumberField(
        label="Settles in",
        unit="min",
        help_text="After this it is stirred again before dipping. Left empty, the studio's rule counts.",
        required=False,
        above=0,
        maximum=1440,
        places=1,
    )


class ChangeRecipeForm(DetailsFields, ActForm):
    pass


class RetireRecipeForm(ActForm):
    reason = forms.CharField(
        label="Why",
        help_text="It stays in the journal: replaced, material no longer sold, settles too hard.",
        max_length=200,
        error_messages={
            "required": "Say in a few words why it is retired.",
            "max_length": "Say it in at most 200 letters.",
        },
    )
