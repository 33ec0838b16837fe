from django.shortcuts import redirect, render
from django.utils import timezone

from studio.front.due import due
from studio.people.doors import needs
from studio.room.models import Vessel


@needs("see")
def today(request):
    """A technician sees what is due; a member the shelf; an empty room its first steps."""
    if not request.user.may("make"):
        return redirect("shelf")
    lines = due(timezone.now())
    context = {"lines": lines, "empty_room": not Vessel.objects.exists()}
    return render(request, "front/today.html", context)
