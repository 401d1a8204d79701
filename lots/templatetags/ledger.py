"""Tags and filters: verdicts as word and mark, figures with their unit, days and moments, codes that do not break.

Masses come in mg, shares as fractions; what they look like is `lots.trade.units`' to say.
"""

from __future__ import annotations

import datetime as dt
from typing import Any

from django import template
from django.template.base import NodeList, Parser, Token
from django.template.loader_tags import BLOCK_CONTEXT_KEY, BlockNode
from django.utils import timezone
from django.utils.html import format_html, strip_tags
from django.utils.safestring import SafeString, mark_safe
from django.utils.translation import get_language, gettext, override

from lots.codes import lots as lot_codes
from lots.codes import packs as pack_codes
from lots.drawing import marks
from lots.templatetags.verdicts import borne_mark, verdict_word
from lots.trade import units

register = template.Library()


def _language() -> str:
    return get_language() or "en"


# Verdicts ------------------------------------------------------------------------------------------------------------


@register.simple_tag
def mark(verdict: Any) -> SafeString:
    """The mark of a verdict alone. Its word stands beside it, so it is hidden from readers of screens."""
    return mark_safe(marks.mark(borne_mark(verdict)))  # noqa: S308 - drawn by our own room, of a verdict and nothing else


@register.simple_tag(name="verdict")
def verdict_in_words(verdict: Any, words: str = "") -> SafeString:
    """A verdict in a sentence: mark and word, never one without the other."""
    if verdict is None or verdict == "":
        return SafeString("")
    said = words or verdict_word(verdict, _language())
    return mark_safe(marks.mark_with_word(borne_mark(verdict), said))  # noqa: S308 - the word is escaped there


@register.simple_tag
def verdict_line(verdict: Any, words: str = "") -> SafeString:
    """A verdict as the headline of a page, with a sentence of its own."""
    said = words or verdict_word(verdict, _language())
    return format_html('<p class="verdict {}">{}<b>{}</b></p>', marks.CLASSES[borne_mark(verdict)], mark(verdict), said)


# Figures -------------------------------------------------------------------------------------------------------------


@register.filter
def kg(mass_mg: float | None, places: int = 2) -> str:
    """A mass with its unit: 41.83 kg."""
    return "" if mass_mg is None else units.kg_text(mass_mg, places, _language())


@register.filter
def signed_kg(mass_mg: float | None, places: int = 2) -> str:
    """A difference with its sign and unit."""
    return "" if mass_mg is None else units.signed_kg_text(mass_mg, places, _language())


@register.filter
def kg_figure(mass_mg: float | None, places: int = 2) -> str:
    """A mass in kg without its unit, for columns that name it in their heading."""
    return "" if mass_mg is None else units.number_text(mass_mg / units.MG_PER_KG, places, language=_language())


@register.filter
def signed_kg_figure(mass_mg: float | None, places: int = 2) -> str:
    """A difference in kg with its sign, without its unit."""
    if mass_mg is None:
        return ""
    return units.number_text(mass_mg / units.MG_PER_KG, places, signed=True, language=_language())


@register.filter
def g(mass_mg: float | None, places: int = 0) -> str:
    """A mass in grams with its unit: 895 g."""
    return "" if mass_mg is None else units.g_text(mass_mg, places, _language())


@register.filter
def percent(share_frac: float | None, places: int = 1) -> str:
    """A share in per cent with its sign: 74.9 %."""
    return "" if share_frac is None else units.percent_text(share_frac, places, _language())


@register.filter
def count(number: int | None) -> str:
    """A count, grouped in threes: 1,141."""
    return "" if number is None else units.number_text(number, 0)


@register.filter
def figure(number: float | None, places: int = 1) -> str:
    """Any other number with a fixed count of decimals and a true minus: 40.4."""
    return "" if number is None else units.number_text(number, places, language=_language())


# Days and moments ----------------------------------------------------------------------------------------------------


def _time(moment: dt.date, text: str) -> SafeString:
    return format_html('<time class="num" datetime="{}">{}</time>', moment.isoformat(), text)


def _at_the_mill(moment: dt.datetime) -> dt.datetime:
    return timezone.localtime(moment) if timezone.is_aware(moment) else moment


@register.filter
def day(date: dt.date | None) -> str:
    """A day with its weekday, which catches slips: 2026-07-14 (Tue). A moment gives the mill's day."""
    if date is None:
        return ""
    local = _at_the_mill(date).date() if isinstance(date, dt.datetime) else date
    return _time(local, units.date_text(local, _language()))


@register.filter
def short_day(date: dt.date | None) -> str:
    """A day within the year: 07-14 Tue."""
    if date is None:
        return ""
    local = _at_the_mill(date).date() if isinstance(date, dt.datetime) else date
    return _time(local, units.short_date_text(local, _language()))


@register.filter
def moment(at: dt.datetime | None) -> str:
    """Day and clock time at the mill: 2026-07-14 (Tue) 08:10."""
    return "" if at is None else _time(_at_the_mill(at), units.moment_text(_at_the_mill(at), _language()))


@register.filter
def clock(at: dt.datetime | None) -> str:
    """Clock time at the mill: 08:10."""
    return "" if at is None else _time(_at_the_mill(at), units.time_text(_at_the_mill(at)))


# Codes ---------------------------------------------------------------------------------------------------------------


def printed(thing: Any) -> str:
    """Return a lot's or pack's code as people read it; what is no code of ours stays as it is."""
    text = str(getattr(thing, "printed", "") or getattr(thing, "code", thing))
    if lot_codes.parse_lot_code(text) == text:
        return lot_codes.print_form(text)
    return pack_codes.print_form(text) if pack_codes.parse_pack_code(text) == text else text


@register.simple_tag
def code(thing: Any) -> SafeString:
    """A code in bold that never breaks over a line."""
    return format_html('<b class="code" translate="no">{}</b>', printed(thing))


LENGTH_FULL = 1000


@register.simple_tag
def lengths(in_mg: float, out_mg: float) -> tuple[int, int]:
    """Two lengths on one scale, the longer of them 1000 units."""
    longer = max(in_mg, out_mg, 1)
    return round(LENGTH_FULL * max(in_mg, 0) / longer), round(LENGTH_FULL * max(out_mg, 0) / longer)


# Parts of the page ---------------------------------------------------------------------------------------------------


@register.simple_tag(takes_context=True)
def other_title(context: template.Context, title: str = "") -> str:
    """The same title in the other language; without a title that of the door. Nothing where both would read alike."""
    house = context.get("house")
    if not title:
        return house.other_door_title if house else ""
    here = gettext(title)
    with override("en" if _language().startswith("ja") else "ja"):
        there = gettext(title)
    return "" if there == here else there


@register.simple_tag(takes_context=True)
def block_text(context: template.Context, name: str) -> str:
    """The words of a block once more, without markup: the title stands on the page and in the browser's own head."""
    if context.render_context.get(BLOCK_CONTEXT_KEY) is None:
        return ""
    said = strip_tags(BlockNode(name, NodeList()).render(context))
    return mark_safe(" ".join(said.split()))  # noqa: S308 - rendered by an escaping template, markup taken out


class LeadNode(template.Node):
    """The first sentence of a page, in its own paragraph if there is one."""

    def __init__(self, nodelist: NodeList) -> None:
        self.nodelist = nodelist

    def render(self, context: template.Context) -> SafeString:
        """Return the paragraph, or nothing."""
        said = self.nodelist.render(context).strip()
        return format_html('<p class="lead">{}</p>', mark_safe(said)) if said else SafeString("")  # noqa: S308 - rendered above


@register.tag
def lead(parser: Parser, _token: Token) -> LeadNode:
    """The first sentence of a page."""
    nodelist = parser.parse(("endlead",))
    parser.delete_first_token()
    return LeadNode(nodelist)
