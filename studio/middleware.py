"""What every answer carries, and how a proxy's caller is read."""

from collections.abc import Callable

from django.conf import settings
from django.http import HttpRequest, HttpResponse

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


def client_address(request: HttpRequest) -> str:
    """The caller's address, for the log-in throttle.

    Behind the https proxy that is the last entry of X-Forwarded-For, the one the proxy itself wrote;
    without a proxy the header is a stranger's word and is not read.
    """
    forwarded = request.META.get("HTTP_X_FORWARDED_FOR", "") if settings.BEHIND_PROXY else ""
    return forwarded.rsplit(",", 1)[-1].strip() or request.META.get("REMOTE_ADDR", "")
