"""Sentences about a plot that several screens say alike: its shade, its lawful day, its leaf for each ten ares."""

from __future__ import annotations

import datetime as dt

from django.utils.translation import gettext as _
from django.utils.translation import ngettext

from lots.desk.forms.register_words import STATES
from lots.desk.words import decimals, joined, language
from lots.models import NeighbourNotice, PlotNeighbour
from lots.quality.shading import Shade
from lots.quality.slips import kg_per_10_a
from lots.trade.units import date_text, days_text


def shade_words(shade: Shade | None) -> str:
    """Return how long a plot was under cover, with layers and gaps where there is more than one to say."""
    if shade is None:
        return _("No cover is in the book.")
    first = _("Covered for %(days)s.") % {"days": days_text(shade.covered_days, language())}
    layers = _(", ").join(layer_words(count, days) for count, days in shade.layer_days) if len(shade.layer_days) > 1 else ""
    gap = _("It was off in between for %(days)s.") % {"days": days_text(shade.gap_days, language())} if shade.gap_days else ""
    return joined((first, _("Of these, %(layers)s.") % {"layers": layers} if layers else "", gap))


def layer_words(layers: int, days: int) -> str:
    """Return how long so many layers lay: "20 days under 2 layers"."""
    under = ngettext("%(days)s under %(count)s layer", "%(days)s under %(count)s layers", layers)
    return under % {"days": days_text(days, language()), "count": layers}


def lawful_words(from_on: dt.date | None, product: str, on: dt.date) -> str:
    """Return from which day a plot may be plucked, and which treatment decides it."""
    if from_on is None:
        return ""
    day = {"day": date_text(from_on, language()), "product": product}
    if from_on > on:
        return _("May not be plucked before %(day)s: %(product)s.") % day
    return _("May be plucked since %(day)s (%(product)s).") % day


def notice_words(row: NeighbourNotice) -> str:
    """Return what a neighbour sprays, when, where, and how it is kept apart."""
    beside = neighbour_words(row.neighbour) if row.neighbour else ""
    words = {"product": row.product or _("something"), "day": date_text(row.sprays_on, language())}
    said = _("A neighbour sprays %(product)s on %(day)s.") % words
    where = _("It is %(what)s.") % {"what": beside} if beside else ""
    return joined((said, where, _("Kept apart: %(how)s.") % {"how": row.kept_apart.rstrip(".")} if row.kept_apart else ""))


def neighbour_words(row: PlotNeighbour) -> str:
    """Return a neighbour in words: "rice, north-east, 4 m away, hedge, buffer of 3 m"."""
    parts = [
        row.grows, str(STATES.get(row.side, row.side)), _("%(distance)d m away") % {"distance": row.distance_m}, row.kept_apart,
        _("buffer of %(buffer)d m") % {"buffer": row.buffer_m} if row.buffer_m is not None else "",
    ]
    return _(", ").join(part for part in parts if part)


def per_10_a(mass_mg: int, area_a: float) -> str:
    """Return the leaf of a plot for each ten ares: "368.2 kg per 10 a"; nothing where the plot has no area."""
    return _("%(yield)s kg per 10 a") % {"yield": decimals(kg_per_10_a(mass_mg, area_a))} if area_a > 0 else ""
