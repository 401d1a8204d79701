"""The sentences of a plot's page."""

from __future__ import annotations

from django.urls import reverse
from django.utils.translation import gettext as _
from django.utils.translation import ngettext

from lots.desk.bag_words import bags_text
from lots.desk.field_words import lawful_words, neighbour_words, notice_words, per_10_a, shade_words
from lots.desk.forms.register_words import STATES
from lots.desk.saying import Said, capital
from lots.desk.words import decimals, joined, language, mass
from lots.models import FieldTrim, NeighbourNotice, Planting, PlotNeighbour, Shading
from lots.quality.outlines import area_a
from lots.read.plots import Flush, PlotBook, StateSpan, Used
from lots.trade.units import date_text, percent_text


def state_word(span: StateSpan) -> str:
    """Return a state in words."""
    return str(STATES.get(span.state, span.state))


def state_sentence(book: PlotBook) -> str:
    """Return in which state the plot was on the day."""
    if book.state is None:
        first = date_text(book.states[0].from_on, language())
        return _("What its state was then is not in the book, which begins on %(day)s.") % {"day": first}
    return _("Its state is %(state)s, since %(day)s.") % {
        "state": state_word(book.state), "day": date_text(book.state.from_on, language()),
    }


def state_entries(book: PlotBook) -> list[Said]:
    """Return the states in the course of time, the newest first."""
    return [
        Said(what=_("%(what)s.") % {"what": capital(state_word(span))}, sentence=_("From %(day)s.") % {
            "day": date_text(span.from_on, language())})
        for span in reversed(book.states)
    ]


def lie_sentence(book: PlotBook) -> str:
    """Return how a plot lies: height, slope, planting year, how covers lie on it."""
    plot = book.plot
    aspect = str(STATES.get(plot.aspect, plot.aspect))
    slope = percent_text(float(plot.slope_frac), 0, language()) if plot.slope_frac is not None else ""
    parts = [
        _("%(height)d m up") % {"height": plot.altitude_m} if plot.altitude_m is not None else "",
        _("slopes to the %(side)s by %(slope)s") % {"side": aspect, "slope": slope} if aspect and slope else "",
        _("slopes to the %(side)s") % {"side": aspect} if aspect and not slope else "",
        _("planted in %(year)d") % {"year": plot.planted_year} if plot.planted_year else "",
        {"trellis": _("covers lie on a trellis"), "direct": _("covers lie on the bush")}.get(plot.cover, ""),
    ]
    said = _(", ").join(part for part in parts if part)
    return _("%(what)s.") % {"what": capital(said)} if said else ""


def lawful_sentence(book: PlotBook) -> str:
    """Return from which day the plot may be plucked."""
    if book.lawful is None:
        return _("No treatment keeps it from being plucked.")
    return lawful_words(book.lawful.from_on, book.lawful.decided_by.product, book.on)


def outline_sentence(book: PlotBook) -> str:
    """Return what the outline encloses, or where the point lies."""
    if not book.corners:
        return ""
    if len(book.corners) == 1:
        only = book.corners[0]
        return _("Its point is %(lat)s, %(lon)s.") % {"lat": f"{only.lat:.5f}", "lon": f"{only.lon:.5f}"}
    corners = ngettext("%(count)d corner", "%(count)d corners", len(book.corners)) % {"count": len(book.corners)}
    return _("The outline has %(corners)s and encloses %(area)s a; %(typed)s a stand in the register.") % {
        "corners": corners, "area": decimals(area_a(book.corners)), "typed": decimals(float(book.plot.area_a)),
    }


def flush_entry(book: PlotBook, flush: Flush) -> Said:
    """Return one flush: days, bags, lots, leaf for each ten ares, shade."""
    days = date_text(flush.first_on, language())
    if flush.last_on != flush.first_on:
        days = _("%(first)s to %(last)s") % {"first": days, "last": date_text(flush.last_on, language())}
    came = _("Plucked %(days)s, %(bags)s: %(yield)s.") % {
        "days": days, "bags": bags_text(flush.bag_count), "yield": per_10_a(flush.mass_mg, float(book.plot.area_a)) or mass(flush.mass_mg),
    }
    lots = _("Lots %(lots)s.") % {"lots": _(", ").join(lot.name for lot in flush.lots)} if len(flush.lots) > 1 else ""
    what = _("Flush %(number)d of %(year)d.") % {"number": flush.flush_no, "year": flush.year}
    said = joined((came, shade_words(flush.shade.days if flush.shade else None), lots))
    only = flush.lots[0] if len(flush.lots) == 1 else None
    return Said(
        what=what, sentence=said, big_mg=flush.mass_mg, href=reverse("lot", args=[only.code]) if only else "",
        do=_("Lot %(lot)s") % {"lot": only.name} if only else "",
    )


def treatment_entry(used: Used) -> Said:
    """Return one treatment with all that its packet and its tank say."""
    row = used.row
    kinds = {"pesticide": _("pesticide"), "fertiliser": _("fertiliser"), "other": _("other")}
    water = _("%(water)s l of water per 10 a") % {"water": f"{float(row.water_l_per_10_a):g}"} if row.water_l_per_10_a is not None else ""
    days = ngettext("%(count)d day until plucking", "%(count)d days until plucking", row.interval_days) % {"count": row.interval_days}
    use = _("use %(number)d since the plucking before") % {"number": used.use_no}
    if row.uses_most_count is not None:
        use = _("use %(number)d of %(most)d since the plucking before") % {"number": used.use_no, "most": row.uses_most_count}
    parts = [
        kinds.get(row.kind, row.kind), row.substance, row.dose, water, days if row.interval_days else "", use,
        _("packet %(batch)s") % {"batch": row.batch} if row.batch else "",
        _("by badge %(badge)s") % {"badge": row.operator.code} if row.operator else "",
    ]
    said = _("%(what)s.") % {"what": _(", ").join(part for part in parts if part)}
    return Said(what=_("%(what)s.") % {"what": row.product}, sentence=capital(said), side=row.applied_on.isoformat())


def cover_entry(row: Shading) -> Said:
    """Return one cover."""
    layers = ngettext("%(count)d layer", "%(count)d layers", row.layer_count) % {"count": row.layer_count}
    off = _("off on %(day)s") % {"day": date_text(row.uncovered_on, language())} if row.uncovered_on else _("no day on which it came off")
    how = {"trellis": _("on a trellis"), "direct": _("laid on the bush")}.get(row.cover, "")
    rate = _("%(share)s of the light kept away") % {
        "share": percent_text(float(row.rate_frac), 0, language())} if row.rate_frac is not None else ""
    stage = _("%(count)s leaves open at its start") % {"count": row.leaf_stage} if row.leaf_stage else ""
    said = _(", ").join(part for part in (layers, how, row.material, rate, stage, off) if part)
    what = _("For flush %(number)d.") % {"number": row.flush_no}
    return Said(what=what, sentence=_("%(what)s.") % {"what": said}, side=row.covered_on.isoformat())


def trim_entry(row: FieldTrim) -> Said:
    """Return one trim."""
    deep = _("As deep as a plucking: uses count anew.") if row.as_plucking else _("Light: uses go on counting.")
    return Said(what=_("Trimmed."), sentence=deep, side=row.trimmed_on.isoformat())


def planting_entry(row: Planting) -> Said:
    """Return what stands on a part of the plot."""
    year = _("Planted in %(year)d.") % {"year": row.planted_year} if row.planted_year else ""
    area = _("%(area)s a.") % {"area": decimals(float(row.area_a))}
    rows = _("Rows %(rows)s.") % {"rows": row.rows} if row.rows else ""
    return Said(what=_("%(what)s.") % {"what": row.cultivar.name}, sentence=joined((area, rows, year)))


def neighbour_entry(row: PlotNeighbour) -> Said:
    """Return one neighbour."""
    return Said(what=_("%(what)s.") % {"what": row.code}, sentence=capital(_("%(what)s.") % {"what": neighbour_words(row)}))


def notice_entry(row: NeighbourNotice) -> Said:
    """Return one notice."""
    return Said(sentence=notice_words(row), side=row.sprays_on.isoformat())
