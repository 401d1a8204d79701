"""Headers that every answer of the site carries."""

from __future__ import annotations

from collections.abc import Callable

from django.contrib.auth import SESSION_KEY
from django.http import HttpRequest, HttpResponseBase

Answering = Callable[[HttpRequest], HttpResponseBase]
# The camera reads codes at the desk; nothing else of the device is wanted.
DEVICE_USE = "camera=(self), microphone=(), geolocation=(), payment=(), usb=()"


def permissions_policy(get_response: Answering) -> Answering:
    """Lets our own pages use the camera, and nobody anything else."""

    def answer(request: HttpRequest) -> HttpResponseBase:
        response = get_response(request)
        response.headers.setdefault("Permissions-Policy", DEVICE_USE)
        return response

    return answer


def keep_no_copy(get_response: Answering) -> Answering:
    """Pages behind the login leave no copy in a browser or proxy, so that Back after signing out shows nothing.

    Asks the session only where the page already did: public pages stay free of it.
    """

    def answer(request: HttpRequest) -> HttpResponseBase:
        response = get_response(request)
        if request.session.accessed and SESSION_KEY in request.session:
            response.headers["Cache-Control"] = "private, no-store"
        return response

    return answer
