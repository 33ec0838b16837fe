from django.shortcuts import get_object_or_404, render
from django.urls import reverse

from studio import words
from studio.materials.forms.lots import CorrectForm, LotDetailsForm, PriceForm, UseUpForm
from studio.materials.models import Lot
from studio.materials.operations import stock
from studio.materials.queries import ledger_of
from studio.pages import act_page, bound
from studio.people import rights
from studio.people.acts import story
from studio.people.doors import EACH_TIME, HELD, needs
from studio.room.forms.kept import PlainForm, ReasonForm


def lot_or_404(code) -> Lot:
    return get_object_or_404(Lot.objects.select_related("material"), code=code)


def to_lot(lot):
    return reverse("lot", args=[lot.code])


@needs(rights.SEE)
def lot(request, code):
    """One lot: what it holds, what may be done with it, the newest lines of its ledger."""
    row = lot_or_404(code)
    context = {
        "lot": row,
        "material": row.material,
        "ledger": ledger_of(lot=row),
        "story": story(row)[:20],
        "release": PlainForm(),
        "may_change": request.user.may(rights.STORE),
    }
    return render(request, "materials/lot.html", context)


def _on_lot(
    form_class, do, said, *, title, act_words, lead="", asks=False, initial=None, template="", at_tablet=HELD
):
    """A page for one act on one lot; afterwards the lot's page."""

    @needs(rights.STORE, at_tablet=at_tablet)
    def view(request, code):
        row = lot_or_404(code)
        kwargs = {"lot": row} if asks else {}
        if initial:
            kwargs["initial"] = {name: getattr(row, name) for name in initial}
        return act_page(
            request,
            bound(request, form_class, **kwargs),
            do,
            template=template or "materials/lot_form.html",
            about={"lot": row},
            context={
                "material": row.material,
                "title": title.format(code=row.code),
                "lead": lead,
                "do": act_words,
                "back": to_lot(row),
                "back_words": f"Lot {row.code}",
            },
            then=lambda _: to_lot(row),
            said=said,
        )

    return view


release_lot = _on_lot(
    PlainForm,
    stock.release_lot,
    lambda lot: f"Lot {lot.code} is released: it may be weighed from.",
    title="Release lot {code}?",
    act_words="Release it",
    lead="From now on it may be weighed from and promised to batches.",
    at_tablet=EACH_TIME,
)

quarantine_lot = _on_lot(
    ReasonForm,
    stock.quarantine_lot,
    lambda lot: f"Lot {lot.code} is in quarantine: nothing is weighed from it.",
    title="Lot {code} back into quarantine?",
    act_words="Put it in quarantine",
    lead="Nothing is weighed from it until it is released again. Batches that count on it may fall short.",
)

reject_lot = _on_lot(
    ReasonForm,
    stock.reject_lot,
    lambda lot: f"Lot {lot.code} is rejected. Correct its stock to 0 g once it has left the room.",
    title="Reject lot {code}?",
    act_words="Reject it",
    lead="It is never weighed from again. It stays in the record until you say that it has left.",
)

use_up_lot = _on_lot(
    UseUpForm,
    stock.use_up_lot,
    lambda lot: f"Lot {lot.code} is used up.",
    title="Lot {code} is empty?",
    act_words="It is used up",
    lead="What the record still says of it is written off.",
    asks=True,
)

correct_stock = _on_lot(
    CorrectForm,
    stock.correct_stock,
    lambda movement: f"The record says {words.mass(movement.on_hand_after_g)} now.",
    title="Correct the stock of lot {code}",
    act_words="Correct the record",
    asks=True,
)

correct_price = _on_lot(
    PriceForm,
    stock.correct_price,
    "The price is corrected for what is still there. What was weighed before keeps its cost.",
    title="Correct the price of lot {code}",
    act_words="Correct the price",
    lead="What is still there is worth more or less from now on; batches made before keep their cost.",
    initial=("price_per_kg",),
)

change_lot = _on_lot(
    LotDetailsForm,
    stock.change_lot,
    "Changed.",
    title="Change lot {code}",
    act_words="Keep the change",
    initial=("supplier", "supplier_lot", "received_on", "note"),
)
