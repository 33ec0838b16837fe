"""What the studio tells one person: listed, opened, marked as read."""

from django.core.paginator import Paginator
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, render
from django.urls import reverse
from django.utils.http import url_has_allowed_host_and_scheme

from studio.fields import ActForm
from studio.pages import act_page, bound
from studio.people import rights
from studio.people.doors import needs
from studio.people.models import Notice
from studio.people.operations import notices as acts

ON_A_PAGE = 50


@needs(rights.OWN)
def notices(request: HttpRequest) -> HttpResponse:
    """One's own notices, newest first; a post marks all of them as read."""
    page = Paginator(Notice.objects.filter(to=request.user), ON_A_PAGE).get_page(request.GET.get("page"))
    return act_page(
        request,
        bound(request, ActForm),
        acts.mark_all_read,
        template="people/notices.html",
        context={"page": page},
        then=lambda row: reverse("notices"),
        said="All read.",
    )


@needs(rights.OWN)
def read_notice(request: HttpRequest, pk: int) -> HttpResponse:
    """Mark one as read and go to the page it speaks of."""
    notice = get_object_or_404(Notice, pk=pk, to=request.user)
    if request.method != "POST":
        return render(request, "people/notice.html", {"notice": notice, "form": ActForm()})
    return act_page(
        request,
        bound(request, ActForm),
        acts.mark_read,
        template="people/notice.html",
        about={"notice": notice},
        then=_to,
    )


def _to(notice: Notice) -> str:
    """The page of a notice, if it is one of ours."""
    ours = url_has_allowed_host_and_scheme(notice.address, allowed_hosts=None)
    return notice.address if ours and notice.address.startswith("/") else reverse("notices")
