"""Pack pages, and the floor: a page that looks up one row by its key and renders a small template of ours."""

from __future__ import annotations

from django.http import HttpRequest, HttpResponse
from django.urls import include, path
from django.utils.html import format_html_join

from lots.models import PackedUnit
from lots.public.pack import answer
from lots.read.composing import folded_shares


def by_key(request: HttpRequest, key: int) -> HttpResponse:
    """The floor: one row by its key."""
    unit = PackedUnit.objects.get(pk=key)
    return answer(request, "public/unknown.html", {"unit": unit}, 200)


def traced(request: HttpRequest, step: int) -> HttpResponse:
    """A full trace with shares: every step above, folded anew from the edges, not taken from what is stored."""
    response = answer(request, "public/unknown.html", {}, 200)
    shares = ((plot or "not known", harvest or "", f"{share:.4f}") for harvest, plot, share in folded_shares(step))
    response.content += format_html_join("", "<p>{} {} {}</p>", shares).encode()
    return response


urlpatterns = [path("floor/<int:key>/", by_key), path("traced/<int:step>/", traced), path("p/", include("lots.public.urls"))]
