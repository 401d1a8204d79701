"""The switch that dims the page for a dark mill room. It is a cookie, so that the first bytes are dark already."""

from __future__ import annotations

from django.conf import settings
from django.http import HttpRequest, HttpResponse, HttpResponseRedirect
from django.utils.http import url_has_allowed_host_and_scheme
from django.views.decorators.http import require_POST

COOKIE = "lamp"
LAMPS = ("low", "high")
COOKIE_AGE_S = 365 * 24 * 60 * 60


def of(request: HttpRequest) -> str:
    """Return the lamp that was set on this device, or "" while the device decides."""
    lamp = request.COOKIES.get(COOKIE, "")
    return lamp if lamp in LAMPS else ""


def way_back(request: HttpRequest) -> str:
    """Return the page of ours that asked, or the first page."""
    way = request.POST.get("next", "")
    if url_has_allowed_host_and_scheme(way, {request.get_host()}, require_https=request.is_secure()):
        return way
    return "/"


@require_POST
def lamp(request: HttpRequest) -> HttpResponse:
    """Set the lamp low or high, or leave it to the device again, and go back to the page."""
    answer = HttpResponseRedirect(way_back(request))
    answer.status_code = 303
    wanted = request.POST.get("lamp", "")
    if wanted in LAMPS:
        secure = settings.SESSION_COOKIE_SECURE
        answer.set_cookie(COOKIE, wanted, max_age=COOKIE_AGE_S, secure=secure, httponly=True, samesite="Lax")
    else:
        answer.delete_cookie(COOKIE, samesite="Lax")
    return answer
