"""Pack pages, and the floor: a page that looks up one row by its key and renders a small template of ours."""

from __future__ import annotations

from django.http import HttpRequest, HttpResponse
from django.urls import include, path

from lots.models import PackedUnit
from lots.public.pack import answer
from lots.read.composing import folded_shares


def by_key(request: HttpRequest, key: int) -> HttpResponse:
    """The floor: one row by its key."""
    unit = PackedUnit.objects.get(pk=key)
    return answer(request, "public/unknown.html", {"unit": unit}, 200)


def traced(request: HttpRequest, step: int) -> HttpResponse:
    """A full trace with shares: every step above, folded anew from the edges, not taken from what is stored."""
    return answer(request, "public/unknown.html", {"shares": folded_shares(step)}, 200)


urlpatterns = [path("floor/<int:key>/", by_key), path("traced/<int:step>/", traced), path("p/", include("lots.public.urls"))]
