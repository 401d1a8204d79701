"""Where a request comes from, for throttles. The address is compared and forgotten, never written into the book."""

from __future__ import annotations

from django.conf import settings
from django.http import HttpRequest


def client_address(request: HttpRequest) -> str:
    """The client's network address.

    Behind our own web server it is the last entry of X-Forwarded-For, which that server appended; earlier entries are
    whatever the client wrote.
    """
    forwarded = request.META.get("HTTP_X_FORWARDED_FOR", "")
    if settings.BEHIND_PROXY and forwarded:
        return str(forwarded).rsplit(",", 1)[-1].strip()
    return str(request.META.get("REMOTE_ADDR", ""))
