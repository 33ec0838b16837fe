"""What the room's tablet asks before an act that needs more than the room may: who is it, and their PIN.

The questions stand at the act's own address. What was typed is carried through them in the page, so that
the right PIN does the act at once, with the key of its form: nothing is lost and nothing done twice.
"""

from collections.abc import Iterator
from dataclasses import dataclass, field
from itertools import groupby
from typing import Any
from unicodedata import normalize

from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.views.decorators.cache import add_never_cache_headers

from studio.errors import Refused
from studio.people import rights
from studio.people.doors import EACH_TIME, NEVER, OPEN, at_tablet, right_of
from studio.people.forms.pins import AskedPin
from studio.people.models import Member
from studio.people.operations.pins import try_pin

OURS = "tablet-"  # fields of these questions; no view gets to see them
NOT_HERE = (
    "This is done where you sign in with your own password, on your phone or a computer. "
    "At the room's tablet it does not open, and nothing was done."
)
FEW_NAMES = 12  # beyond these, letters to jump to stand above


@dataclass
class Told:
    """What came with a request for these questions, taken out of it, and what else was typed."""

    number: int | None = None
    pin: str | None = field(default=None, repr=False)
    looks: bool = False  # a page was asked for: nothing was typed
    else_who: bool = False
    without_files: bool = False
    typed: list[tuple[str, str]] = field(default_factory=list, repr=False)

    @classmethod
    def taken_from(cls, request: HttpRequest) -> "Told":
        """Read our fields and leave the request without them. Nothing of it stands in an error page."""
        request.sensitive_post_parameters = "__ALL__"  # type: ignore[attr-defined]
        if request.method != "POST":
            return cls(looks=request.method in ("GET", "HEAD", "OPTIONS"))
        sent = request.POST.copy()
        ours = {name: sent.get(name) for name in list(sent) if name.startswith(OURS)}
        for name in ours:
            del sent[name]
        if ours:
            request.POST = sent  # type: ignore[assignment]
        typed = [(name, text) for name, texts in sent.lists() for text in texts]
        said = str(ours.get("tablet-person") or "")
        return cls(
            number=int(said) if said.isdecimal() and len(said) < 19 else None,
            pin=ours.get("tablet-pin"),
            looks="tablet-looks" in ours,
            else_who="tablet-else" in ours,
            without_files="tablet-without-files" in ours or bool(request.FILES),
            typed=[(name, text) for name, text in typed if name != "csrfmiddlewaretoken"],
        )


def answer_at(request: Any, view: Any) -> HttpResponse | None:
    """None when the view may go on, as whoever ``request.user`` is then; else the question or the refusal."""
    told = Told.taken_from(request)
    method = "GET" if told.looks else request.method
    right, each_time = right_of(view, method) or "", at_tablet(view, method) == EACH_TIME
    if right == OPEN:
        return None
    if at_tablet(view, method) == NEVER:
        said = {"heading": "Not at the tablet", "sentence": NOT_HERE}
        return render(request, "403.html", said, status=403)
    if told.number is not None and told.pin is not None:
        try:
            request.tablet.lend(try_pin(number=told.number, pin=told.pin))
        except Refused as refusal:
            return _ask_pin(request, told, told.number, refusal)
        request.user = request.tablet.user
    elif told.number is not None:
        return _ask_pin(request, told, told.number)
    elif told.else_who:
        return _ask_name(request, told)
    elif each_time and request.tablet.holder is not None:
        return _ask_pin(request, told, request.tablet.holder.pk)
    elif each_time:
        return _ask_name(request, told)
    if not request.user.holds(right):
        return _ask_name(request, told, right)
    # a page that was asked for is opened by its own address
    return redirect(request.get_full_path()) if told.looks and request.method == "POST" else None


def _ask_name(request: Any, told: Told, right: str = "") -> HttpResponse:
    people = list(may_be_chosen())
    names = [person.name for person in people]
    facts = {
        "letters": [(letter, list(them)) for letter, them in groupby(people, key=_letter)],
        "many": len(people) > FEW_NAMES,
        "alike": {name for name in names if names.count(name) > 1},
        "lacks": rights.WORDS.get(right) if not request.user.is_room else None,
    }
    return _asked(request, told, "people/who.html", facts, status=403)


def _ask_pin(request: Any, told: Told, number: int, refusal: Refused | None = None) -> HttpResponse:
    person = Member.objects.filter(pk=number).first()
    if person is None:
        return _ask_name(request, told)
    facts = {"person": person, "pin_form": AskedPin(refusal)}
    return _asked(request, told, "people/whose_pin.html", facts, status=422 if refusal else 403)


def _asked(request: Any, told: Told, template: str, facts: dict[str, Any], *, status: int) -> HttpResponse:
    response = render(request, template, {**facts, "told": told, "asking": True}, status=status)
    add_never_cache_headers(response)
    return response


def may_be_chosen() -> Iterator[Member]:
    """Those with a PIN, by letter and name; never who was here last."""
    rows = Member.objects.filter(is_active=True).exclude(pin="").exclude(role="the room")
    yield from sorted(rows.only("id", "name", "username"), key=lambda person: (_letter(person), person.name))


def _letter(person: Member) -> str:
    """The letter under which a name is looked for: Örjan stands under O."""
    return normalize("NFKD", person.name)[:1].upper()
