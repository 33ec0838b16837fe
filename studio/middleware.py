"""What every answer carries, and how a proxy's caller is read."""

from collections.abc import Callable

from django.conf import settings
from django.core.exceptions import BadRequest
from django.http import Http404, HttpRequest, HttpResponse, QueryDict

CONTENT_SECURITY_POLICY = "; ".join(
    (
        "default-src 'self'",
        "script-src 'self'",
        "style-src 'self'",
        "img-src 'self' data:",
        "frame-ancestors 'none'",
        "form-action 'self'",
        "base-uri 'none'",
    )
)


class ContentSecurityPolicy:
    """Nothing from elsewhere, nothing inline: a script typed into a name never runs."""

    def __init__(self, get_response: Callable[[HttpRequest], HttpResponse]) -> None:
        self.get_response = get_response

    def __call__(self, request: HttpRequest) -> HttpResponse:
        response = self.get_response(request)
        response.headers.setdefault("Content-Security-Policy", CONTENT_SECURITY_POLICY)
        return response


class ReadableAddress:
    """No address and no cookie of ours holds a nought byte, and PostgreSQL looks nothing up by one.

    In what a person searches for it is left out; a program is told.
    """

    def __init__(self, get_response: Callable[[HttpRequest], HttpResponse]) -> None:
        self.get_response = get_response

    def __call__(self, request: HttpRequest) -> HttpResponse:
        if "\0" in request.path_info:
            raise Http404
        asked = request.GET.lists()
        noughts = any("\0" in text for name, values in asked for text in (name, *values))
        if (noughts and request.path.startswith("/api/")) or any("\0" in c for c in request.COOKIES.values()):
            raise BadRequest
        if noughts:
            request.GET = _without_noughts(request.GET)  # type: ignore[assignment]
        return self.get_response(request)


def _without_noughts(query: QueryDict) -> QueryDict:
    kept = QueryDict(mutable=True)
    for name, values in query.lists():
        kept.setlist(name.replace("\0", ""), [value.replace("\0", "") for value in values])
    return kept


def client_address(request: HttpRequest) -> str:
    """The caller's address, for the log-in throttle.

    Behind the https proxy that is the last entry of X-Forwarded-For, the one the proxy itself wrote;
    without a proxy the header is a stranger's word and is not read.
    """
    forwarded = request.META.get("HTTP_X_FORWARDED_FOR", "") if settings.BEHIND_PROXY else ""
    return forwarded.rsplit(",", 1)[-1].strip() or request.META.get("REMOTE_ADDR", "")
