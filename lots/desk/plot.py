"""One plot on one day, in sentences: state, what stands there, neighbours, treatments, covers, flushes; its outline drawn."""

from __future__ import annotations

from typing import Any

from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import render
from django.urls import reverse
from django.utils import timezone
from django.utils.safestring import mark_safe
from django.utils.translation import gettext as _

from lots.desk.access import may
from lots.desk.plot_words import (
    cover_entry,
    flush_entry,
    lawful_sentence,
    lie_sentence,
    neighbour_entry,
    notice_entry,
    outline_sentence,
    planting_entry,
    state_entries,
    state_sentence,
    treatment_entry,
    trim_entry,
)
from lots.desk.pluck import named_day
from lots.desk.words import decimals, joined, language
from lots.drawing.outlines import outline
from lots.read.plots import PlotBook, plot_book
from lots.trade.units import date_text

#: Who may read registers may see where a plot lies.
PLACE_PAGE = "registers"


def plot(request: HttpRequest, code: str) -> HttpResponse:
    """Show a plot as it stood on a day: today, or one that is named."""
    on = named_day(request.GET.get("day", ""), timezone.localdate())
    book = plot_book(code, on)
    if book is None:
        raise Http404(_("No plot %(code)s is in the register.") % {"code": code})
    sees_place = may(request.user, PLACE_PAGE)
    return render(request, "desk/field_plot.html", {
        "title": _("Plot %(code)s, %(name)s") % {"code": book.plot.code, "name": book.plot.name}, "lead": lead(book), "on": on,
        "lines": [line for line in (lie_sentence(book), lawful_sentence(book)) if line], **place(book, sees=sees_place),
        "chapters": [(name, entries) for name, entries in chapters(book) if entries],
        "enter": reverse("registers-enter", args=["field_plot", book.plot.code]) if may(request.user, "registers-enter") else "",
    })


def lead(book: PlotBook) -> str:
    """Return the plot in one or two sentences."""
    words = [_("%(area)s a") % {"area": decimals(float(book.plot.area_a))}, book.grower, book.plot.valley]
    said = _("On %(day)s: %(what)s.") % {"day": date_text(book.on, language()), "what": _(", ").join(word for word in words if word)}
    return joined((said, state_sentence(book)))


def place(book: PlotBook, *, sees: bool) -> dict[str, Any]:
    """Return where the plot lies, for those who may see it."""
    if not sees:
        return {"place": "", "drawing": ""}
    said = joined((_("%(place)s.") % {"place": book.place.rstrip(".")} if book.place else "", outline_sentence(book)))
    drawn = outline(book.corners, _("Outline of plot %(code)s, north up") % {"code": book.plot.code}, "plot-place")
    return {"place": said, "drawing": mark_safe(drawn)}  # noqa: S308 - drawn by our own room, words escaped there


def chapters(book: PlotBook) -> list[tuple[str, list[Any]]]:
    """Return the chapters of a plot with their entries."""
    return [
        (_("Flushes"), [flush_entry(book, one) for one in book.flushes]),
        (_("Treatments and fertilisers"), [treatment_entry(one) for one in book.treatments]),
        (_("Covers"), [cover_entry(row) for row in reversed(book.covers)]),
        (_("Trims"), [trim_entry(row) for row in book.trims]),
        (_("Plantings"), [planting_entry(row) for row in book.plantings]),
        (_("Neighbours"), [neighbour_entry(row) for row in book.neighbours]),
        (_("Neighbours' notices"), [notice_entry(row) for row in book.notices]),
        (_("State in the course of time"), state_entries(book)),
    ]
