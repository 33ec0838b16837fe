from django import forms

from studio.fields import ActForm


class DeclineForm(ActForm):
    """Why not."""

    reason = forms.CharField(
        label="Why not, and what would do instead",
        max_length=200,
        error_messages={"required": "Say why, so that the asker knows what to do instead."},
    )
