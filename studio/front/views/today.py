from django.shortcuts import redirect, render
from django.utils import timezone

from studio.front.due import due
from studio.front.due.room import vessels_in
from studio.people.doors import needs
from studio.room.steps import progress


@needs("see")
def today(request):
    """A technician sees what is due; a member the shelf; an empty room its first steps."""
    if not request.user.may("make"):
        return redirect("shelf")
    steps = progress()
    context = {"lines": due(timezone.now(), steps), "empty_room": not vessels_in(steps)}
    return render(request, "front/today.html", context)
