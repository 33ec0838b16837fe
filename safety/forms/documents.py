"""A PDF that comes with a form."""

from typing import Any

from django import forms

from safety.documents import MOST_BYTES, Document, NoDocument, document, too_large


class PdfField(forms.FileField):
    """A PDF or none, judged by what is in it; cleans to a Document. Its name is never looked at."""

    def __init__(self, *, label: str) -> None:
        super().__init__(
            label=label,
            help_text="Up to 10 MB. It is kept as it is, and handed out as a download.",
            required=False,
            widget=forms.FileInput({"accept": "application/pdf"}),
        )

    def clean(self, data: Any, initial: Any = None) -> Document | None:  # type: ignore[override]
        if not data:
            return None
        if not hasattr(data, "read"):
            raise forms.ValidationError("That is not a file. Choose a PDF, or leave it out.")
        if data.size > MOST_BYTES:
            raise forms.ValidationError(too_large(data.size))
        try:
            return document(data.read())
        except NoDocument as problem:
            raise forms.ValidationError(str(problem)) from problem


class WithPdf(forms.Form):
    """A form with a ``document``: shown again, it says that the browser has let go of the file."""

    def clean(self) -> dict[str, Any]:
        cleaned = super().clean() or {}
        if self.errors and self.files and "document" not in self.errors:
            self.add_error("document", "Choose the PDF once more: a browser does not keep it.")
        return cleaned
