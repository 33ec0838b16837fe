"""Refusals: the rule says no, in a sentence for the person standing at the bucket."""


class Refused(Exception):
    """An act is not allowed as things stand. Nothing was written.

    ``field`` names the form field the sentence belongs beside, or None for the whole form.
    Apps subclass it, one class per reason, carrying the facts of that reason.
    """

    status = 409

    def __init__(self, sentence: str, *, field: str | None = None) -> None:
        super().__init__(sentence)
        self.sentence = sentence
        self.field = field


class NotAllowed(Refused):
    """The person lacks a right; the sentence says which."""

    status = 403


class KeyUsedOtherwise(Refused):
    """The same key arrived with other content: two different acts can't share one key."""

    def __init__(self) -> None:
        super().__init__(
            "This was sent before with other content, so nothing was saved this time. "
            "Check what is there now; if it is still needed, send it again."
        )
