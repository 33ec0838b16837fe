from django.contrib.auth.views import redirect_to_login
from django.http import HttpResponse, HttpResponseForbidden
from django.shortcuts import render
from django.utils.functional import SimpleLazyObject

from studio.people import rights
from studio.people.asking import answer_at
from studio.people.doors import OPEN, right_of
from studio.people.tablet import Tablet


class WhoActs:
    """``request.user`` is who acts: on the room's tablet whoever gave their PIN, else who is signed in."""

    def __init__(self, get_response):
        self.get_response = get_response

    def __call__(self, request):
        request.tablet = Tablet(request, request.user)
        request.user = SimpleLazyObject(lambda: request.tablet.user)
        return self.get_response(request)


class ClosedUnlessOpened:
    """Refuse every address whose view names no right, and every person who lacks it."""

    def __init__(self, get_response):
        self.get_response = get_response

    def __call__(self, request):
        return self.get_response(request)

    def process_view(self, request, view, args, kwargs):
        right = right_of(view, request.method)
        if right is None:
            return HttpResponseForbidden("This address is closed: no right opens it.")
        if right == OPEN or request.path.startswith("/api/"):
            return None  # the API checks the same table itself, after it has read the token
        if not request.user.is_authenticated:
            return self._to_login(request)
        if request.tablet.room:
            return answer_at(request, view)
        if not request.user.holds(right):
            words = rights.WORDS[right]
            return render(request, "403.html", {"right": words}, status=403)
        return None

    def _to_login(self, request):
        to_login = redirect_to_login(request.get_full_path() if request.method == "GET" else "/")
        if request.headers.get("HX-Request"):
            return HttpResponse(status=204, headers={"HX-Redirect": to_login.url})
        return to_login
