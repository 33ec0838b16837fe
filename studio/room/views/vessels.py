from django.shortcuts import get_object_or_404, render
from django.urls import reverse
from django.views.decorators.http import require_safe

from studio import words
from studio.pages import act_page, bound
from studio.people import rights
from studio.people.acts import story
from studio.people.doors import needs
from studio.room.forms.kept import PlainForm
from studio.room.forms.vessels import NewVesselForm, PlaceForm, VesselForm
from studio.room.models import Vessel
from studio.room.operations import vessels as acts
from studio.room.policy import in_force
from studio.room.queries import litres_of


def to_vessel(vessel):
    return reverse("vessel", args=[vessel.code])


def _litres(form):
    """Litres for the sizes in a form, or None while they are not all there."""
    vessel = form.sizes() if form.is_bound else None
    return litres_of(vessel, in_force()) if vessel else None


@needs(rights.SEE)
def vessel(request, code):
    """One bucket: sizes, litres, place, and its story as a thing of the room."""
    row = get_object_or_404(Vessel, code=code)
    context = {
        "vessel": row,
        "litres": litres_of(row, in_force()),
        "story": story(row)[:40],
        "may_change": request.user.may(rights.ROOM),
    }
    return render(request, "room/vessel.html", context)


@needs(rights.ROOM)
@require_safe
def vessel_litres(request):
    """The piece of the form that says how many litres the typed sizes make."""
    return render(request, "room/_litres.html", {"litres": _litres(NewVesselForm(request.GET))})


def _only_looking(request, form, template, context):
    """Without a script the litres come by a button: the page again with them, nothing written."""
    return render(request, template, {**context, "form": form, "litres": _litres(form), "looking": True})


@needs(rights.ROOM)
def add_vessel(request):
    form = bound(request, NewVesselForm)
    if "look" in request.POST:
        return _only_looking(request, form, "room/vessel_form.html", {})
    return act_page(
        request,
        form,
        acts.add_vessel,
        template="room/vessel_form.html",
        context={"litres": _litres(form)},
        then=lambda row: reverse("add-vessel") if "another" in request.POST else to_vessel(row),
        said=lambda row: f"{row.code} is in the room: {words.litres(row.brim_l())} to the brim.",
    )


@needs(rights.ROOM)
def change_vessel(request, code):
    row = get_object_or_404(Vessel, code=code)
    names = ("bottom_cm", "top_cm", "height_cm", "offset_l", "empty_g", "place")
    form = bound(request, VesselForm, initial={name: getattr(row, name) for name in names})
    if "look" in request.POST:
        return _only_looking(request, form, "room/vessel_form.html", {"vessel": row})
    return act_page(
        request,
        form,
        acts.change_vessel,
        template="room/vessel_form.html",
        about={"vessel": row},
        context={"litres": _litres(form) or litres_of(row, in_force())},
        then=to_vessel,
        said="Changed. Depths read from now on are reckoned with these sizes.",
    )


@needs(rights.ROOM)
def move_vessel(request, code):
    row = get_object_or_404(Vessel, code=code)
    return act_page(
        request,
        bound(request, PlaceForm, initial={"place": row.place}),
        acts.move_vessel,
        template="room/form.html",
        about={"vessel": row},
        context={
            "title": f"Move {row.code}",
            "back": to_vessel(row),
            "back_words": row.code,
            "do": "Keep this place",
        },
        then=to_vessel,
        said=lambda moved: f"{moved.code} stands at {moved.place}.",
    )


def _ask(request, code, do, context, said):
    """A page that asks once before it does an act with nothing to type."""
    row = get_object_or_404(Vessel, code=code)
    words_of = {name: text.format(code=row.code) for name, text in context.items()}
    return act_page(
        request,
        bound(request, PlainForm),
        do,
        template="room/form.html",
        about={"vessel": row},
        context={**words_of, "back": to_vessel(row), "back_words": row.code},
        then=to_vessel,
        said=said.format(code=row.code),
    )


@needs(rights.ROOM)
def put_away_vessel(request, code):
    context = {
        "title": "Put {code} away?",
        "lead": "It leaves the shelf and is not offered any more. Its record stays, and it can come back.",
        "do": "Put it away",
    }
    return _ask(request, code, acts.put_away_vessel, context, "{code} is away.")


@needs(rights.ROOM)
def bring_back_vessel(request, code):
    context = {"title": "{code} back in service?", "lead": "It is offered again.", "do": "Back in service"}
    return _ask(request, code, acts.bring_back_vessel, context, "{code} is back in service.")
