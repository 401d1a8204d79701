"""The checks of the house on one page: what is due, each test piece, scale and room with its newest check, tubs that wait for grit."""

from __future__ import annotations

import datetime as dt
from collections.abc import Sequence

from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.utils import timezone
from django.utils.translation import gettext as _
from django.views.decorators.http import require_safe

from lots.desk.access import may
from lots.desk.climate import air_words, all_outside, band_words
from lots.desk.detecting import last_words, piece_words
from lots.desk.saying import Said, clock_text, listed, short_day_text
from lots.desk.scale_check import shown_words
from lots.desk.ways import way
from lots.models import CheckWeight
from lots.read.climate import RoomNow, outside_between, rooms_now
from lots.read.detecting import PieceDue, PieceNow, pieces_due, pieces_now
from lots.read.grit import grit_waiting
from lots.read.registers import in_force
from lots.read.scale_check import ScaleNow, open_failures, scales_due, scales_now

PAGES = ("checks-piece", "checks-find", "checks-scale", "checks-climate", "checks-grit")
LATELY_H = 24


@require_safe
def board(request: HttpRequest) -> HttpResponse:
    """Show the checks."""
    return render(request, "desk/checks.html", {
        "due": check_entries(timezone.now()), "pieces": [piece_entry(p) for p in pieces_now()],
        "scales": [scale_entry(s) for s in scales_now()], "rooms": [room_entry(r) for r in rooms_now()],
        **{page.replace("-", "_"): may(request.user, page) for page in PAGES},
    })


def check_entries(now: dt.datetime) -> list[Said]:
    """Return what is due or out of order, for this page and for the first one."""
    return [*map(due_entry, pieces_due(now)), *scale_due_entries(now), *failure_entries(), *grit_entries(), *climate_entries(now)]


def due_entry(piece: PieceDue) -> Said:
    """Return a test piece that is due."""
    good = _("never seen yet")
    if piece.good_at:
        good = _("last seen %(day)s %(clock)s") % {"day": short_day_text(piece.good_at), "clock": clock_text(piece.good_at)}
    return Said(
        what=_("Test piece %(piece)s, %(machine)s.") % {"piece": piece.code, "machine": piece.machine},
        sentence=_("It is due: powder goes through, %(good)s.") % {"good": good}, href=way("checks-piece"), do=_("Send it through"),
    )


def scale_due_entries(now: dt.datetime) -> list[Said]:
    """Return the scales that were read today and not checked, as one entry; none where the house has no check weight."""
    if not in_force(CheckWeight).exists():
        return []
    codes = [one.code for one in scales_due(now)]
    if not codes:
        return []
    return [Said(
        what=_("Check weights."), sentence=_("Not checked today, and weighed on: %(scales)s.") % {"scales": listed(codes)},
        href=way("checks-scale"), do=_("Check a scale"),
    )]


def failure_entries() -> list[Said]:
    """Return the failed checks of scales that nobody cleared."""
    return [
        Said(
            what=_("Scale %(scale)s.") % {"scale": check.scale.code}, sentence=shown_words(check),
            side=short_day_text(check.step.happened_at), href=way("checks-doubt", check.pk), do=_("See the weighings"),
        )
        for check in open_failures()
    ]


def grit_entries() -> list[Said]:
    """Return the tubs that wait for their grit check."""
    return [
        Said(
            what=_("%(lot)s.") % {"lot": one.lot.name},
            sentence=_("Grit was found: keep it apart, open the pair.") if one.found else _("It waits for its grit check."),
            side=short_day_text(one.since_at), href=way("checks-grit", lot=one.lot.code), do=_("Look for grit"),
        )
        for one in grit_waiting()
    ]


def climate_entries(now: dt.datetime) -> list[Said]:
    """Return the rooms that lay outside their band within a day."""
    found = outside_between(now - dt.timedelta(hours=LATELY_H), now)
    return [Said(what=_("Room climate."), sentence=all_outside(found), href=way("checks"), do=_("See the checks"))] if found else []


def piece_entry(piece: PieceNow) -> Said:
    """Return a test piece with its newest test."""
    what = _("%(what)s.") % {"what": piece_words(piece.code, piece.metal, piece.size_mm, piece.machine)}
    return Said(what=what, sentence=last_words(piece), href=way("checks-piece", piece=piece.code), do=_("Send it through"))


def scale_entry(one: ScaleNow) -> Said:
    """Return a scale with its newest check."""
    at = short_day_text(one.check.step.happened_at) if one.check else ""
    verdict = "" if one.check is None else _("Within.") if one.check.within else _("Beyond.")
    said = f"{verdict} {shown_words(one.check)}" if one.check else _("Never checked.")
    address = way("checks-scale", scale=one.code)
    return Said(what=_("%(scale)s.") % {"scale": one.code}, sentence=said, side=at, href=address, do=_("Check a scale"))


def room_entry(room: RoomNow) -> Said:
    """Return a room with its band and its newest reading."""
    band, reading = band_words(room.band), room.reading
    said = _("Never read.") if reading is None else air_words(reading.temperature_c, reading.humidity_frac) + (
        _(", outside its band.") if reading.outside else _(", in its band."))
    at: Sequence[str] = (short_day_text(reading.read_at), clock_text(reading.read_at)) if reading else ("", "")
    return Said(
        what=_("%(room)s.") % {"room": room.band.name}, sentence=f"{said} {_('Band: %(band)s.') % {'band': band}}", side=at[0], small=at[1],
        href=way("checks-climate", room=room.band.code), do=_("Read the climate"),
    )
