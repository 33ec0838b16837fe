from django.shortcuts import get_object_or_404, render
from django.urls import reverse
from django.utils import timezone

from studio.pages import act_page, bound
from studio.people import rights
from studio.people.acts import story
from studio.people.doors import needs
from studio.room import queries
from studio.room.forms.instruments import GlassForm, ScaleForm
from studio.room.forms.kept import PlainForm
from studio.room.models import Glass, Scale
from studio.room.operations import instruments as acts

# mL of volume, cylinder, flask. Cylinders: ASTM E1272 table, class A. Flasks: from memory.
CLASS_A = [("50", "0.25", "0.06"), ("100", "0.50", "0.10"), ("250", "1", "0.15"), ("500", "2", "0.25")]


def _to(row):
    return reverse("scale" if isinstance(row, Scale) else "glass", args=[row.pk])


def _page(request, template, **row):
    thing = next(iter(row.values()))  # the first is what the page is about
    context = {**row, "story": story(thing)[:40], "may_change": request.user.may(rights.ROOM)}
    return render(request, template, context)


@needs(rights.SEE)
def scale(request, pk):
    """One scale: what it shows and weighs, and its story."""
    return _page(request, "room/scale.html", scale=get_object_or_404(Scale, pk=pk))


@needs(rights.SEE)
def glass(request, pk):
    """One flask or cylinder: volume, tolerance, and its story."""
    row = get_object_or_404(Glass, pk=pk)
    return _page(
        request,
        "room/glass.html",
        glass=row,
        due=row in queries.glasses_due(timezone.now()),
        calibrations=list(row.calibrations.select_related("scale", "by")[:10]),
    )


def _new(request, form_class, do, template):
    return act_page(
        request,
        bound(request, form_class),
        do,
        template=template,
        context={"class_a": CLASS_A},
        then=lambda row: request.path if "another" in request.POST else _to(row),
        said=lambda row: f"{row.name} is in the room.",
    )


def _change(request, row, form_class, do, template, about):
    names = [name for name in form_class.base_fields if name != "key"]
    return act_page(
        request,
        bound(request, form_class, initial={name: getattr(row, name) for name in names}),
        do,
        template=template,
        about={about: row},
        context={"class_a": CLASS_A},
        then=_to,
        said="Changed. What was weighed or read before stays as it was.",
    )


def _ask(request, row, do, about, context, said):
    return act_page(
        request,
        bound(request, PlainForm),
        do,
        template="room/form.html",
        about={about: row},
        context={**context, "back": _to(row), "back_words": row.name},
        then=_to,
        said=said,
    )


@needs(rights.ROOM)
def add_scale(request):
    return _new(request, ScaleForm, acts.add_scale, "room/scale_form.html")


@needs(rights.ROOM)
def change_scale(request, pk):
    row = get_object_or_404(Scale, pk=pk)
    return _change(request, row, ScaleForm, acts.change_scale, "room/scale_form.html", "scale")


@needs(rights.ROOM)
def retire_scale(request, pk):
    row = get_object_or_404(Scale, pk=pk)
    context = {
        "title": f"Retire {row.name}?",
        "lead": "No new batch is planned on it. What was weighed on it stays as it is.",
        "do": "Retire it",
    }
    return _ask(request, row, acts.retire_scale, "scale", context, f"{row.name} is retired.")


@needs(rights.ROOM)
def bring_back_scale(request, pk):
    row = get_object_or_404(Scale, pk=pk)
    context = {
        "title": f"{row.name} back in use?",
        "lead": "Batches are planned on it again.",
        "do": "Back in use",
    }
    return _ask(request, row, acts.bring_back_scale, "scale", context, f"{row.name} is back in use.")


@needs(rights.ROOM)
def add_glass(request):
    return _new(request, GlassForm, acts.add_glass, "room/glass_form.html")


@needs(rights.ROOM)
def change_glass(request, pk):
    row = get_object_or_404(Glass, pk=pk)
    return _change(request, row, GlassForm, acts.change_glass, "room/glass_form.html", "glass")


@needs(rights.ROOM)
def retire_glass(request, pk):
    row = get_object_or_404(Glass, pk=pk)
    context = {
        "title": f"Retire {row.name}?",
        "lead": "It is not offered for readings any more. Those made with it stay as they are.",
        "do": "Retire it",
    }
    return _ask(request, row, acts.retire_glass, "glass", context, f"{row.name} is retired.")


@needs(rights.ROOM)
def bring_back_glass(request, pk):
    row = get_object_or_404(Glass, pk=pk)
    context = {
        "title": f"{row.name} back in use?",
        "lead": "Readings can be made with it again.",
        "do": "Back in use",
    }
    return _ask(request, row, acts.bring_back_glass, "glass", context, f"{row.name} is back in use.")
