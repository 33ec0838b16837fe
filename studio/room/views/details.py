from django.urls import reverse

from studio.pages import act_page, bound
from studio.people import rights
from studio.people.doors import needs
from studio.room import details
from studio.room.forms.details import DetailsForm
from studio.room.models import Details
from studio.room.operations.details import change_details as change


@needs(rights.SEE, post=rights.ROOM)
def change_details(request):
    """Who the studio is, what it was called before, and the form that changes it."""
    now = details.in_force()
    context = {
        "details": now,
        "said": details.said(now),
        "gaps": details.gaps(now),
        "changes": Details.objects.select_related("by")[:40],
        "may_change": request.user.may(rights.ROOM),
    }
    return act_page(
        request,
        bound(request, DetailsForm, initial=DetailsForm.shows(now)),
        change,
        template="room/details.html",
        context=context,
        then=lambda row: reverse("change-details"),
        said="Kept. Labels printed from now on say it so.",
    )
