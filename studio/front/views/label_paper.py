"""Labels onto paper: the PDF of printed labels, on the stock and from the place a person chose."""

from django import forms
from django.http import Http404
from django.shortcuts import get_object_or_404, redirect, render
from django.urls import reverse

from safety.labelling.builder import MOST, Wish, build
from safety.labelling.pieces import TooSmall
from safety.labelling.sheets import grid_of
from safety.models import Label, Sheet, Stock
from studio.fields import ReadableForm
from studio.people.doors import needs
from studio.printing import paper, warm

TOO_MANY = "At most {most} labels go into one PDF; these are {count}. Print them in parts."


class PaperForm(ReadableForm):
    """On which paper, from which place on it, with lid strips, folded or not."""

    stock = forms.ModelChoiceField(
        Stock.objects.filter(retired_at=None),
        required=False,
        label="Paper",
        empty_label="each label on a page of its own size",
        error_messages={"invalid_choice": "There is no such paper, or it is not used any more."},
    )
    start = forms.IntegerField(
        min_value=1,
        max_value=400,
        initial=1,
        required=False,
        label="First free place on the sheet",
        help_text="Counted across, then down; 1 is the upper left one.",
    )
    strips = forms.BooleanField(required=False, label="Strips for the lids, too, with the same serial")
    fold = forms.BooleanField(
        required=False,
        label="What does not fit is folded under the label",
        help_text="On pages of its own size; on sheets it goes to the next label.",
    )

    def clean(self):
        cleaned = super().clean()
        stock, start = cleaned.get("stock"), cleaned.get("start")
        if stock and start and start > stock.columns * stock.rows:
            self.add_error("start", f"{stock} has {stock.columns * stock.rows} places on a sheet.")
        return cleaned

    def wish(self) -> Wish:
        """What was chosen, for the builder."""
        chosen = self.cleaned_data
        return Wish(
            grid=grid_of(chosen["stock"]) if chosen["stock"] else None,
            start=chosen["start"] or 1,
            strips=chosen["strips"],
            fold=chosen["fold"],
        )


def sheet_address(number: str) -> str:
    """What the QR code of a data sheet opens: an address of its own, for what is printed cannot follow."""
    return reverse("sheet-code", args=[number])


@needs("see")
def sheet_code(request, number):
    """A data sheet by its number in the binder, as labels print it: "S014"."""
    row = get_object_or_404(Sheet, number=int(number[1:]))
    return redirect("sheet", row.number)


@needs("see")
def sheet(request, serials):
    """The PDF of labels already printed: their own copy of what they say, never what is so today."""
    wanted = list(dict.fromkeys(serials.split(",")))
    if len(wanted) > MOST:
        return _ask_again(request, serials, PaperForm(), TOO_MANY.format(most=MOST, count=len(wanted)))
    rows = printed(wanted)
    if not rows:
        raise Http404("There is no such label.")
    form = PaperForm(request.GET)
    if not form.is_valid():
        return _ask_again(request, serials, form)
    try:
        job = build(rows, form.wish(), sheet_address)
    except TooSmall as problem:
        return _ask_again(request, serials, form, problem.sentence)
    context = {
        "labels": rows,
        "pages": job.pages,
        "kinds": {page.name: page for page in job.pages}.values(),
        "on_stock": form.cleaned_data["stock"],
    }
    return paper(request, "print/labels.html", context, f"labels-{rows[0].serial}")


def printed(serials: list[str]) -> list[Label]:
    """The labels with these serials, in that order; unknown ones left out."""
    found = {label.serial: label for label in Label.objects.filter(serial__in=serials)}
    return [found[serial] for serial in serials if serial in found]


def about_to_print(serials: str) -> dict:
    """What a page shows of labels that are ready: the form for their paper, and what the builder says."""
    if not serials:
        return {}
    warm()
    rows = printed(serials.split(",")[:MOST])
    notes = build(rows, Wish(), sheet_address).notes
    said = [(serial, sentences) for serial, sentences in notes.items() if sentences]
    return {"paper_form": PaperForm(initial={"strips": True}), "notes": said}


def _ask_again(request, serials: str, form: PaperForm, sentence: str = ""):
    context = {"serials": serials, "paper_form": form, "sentence": sentence}
    return render(request, "front/label_paper.html", context, status=422)
