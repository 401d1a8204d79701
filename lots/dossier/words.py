"""Words that several papers say alike, in the language that is switched on."""

from __future__ import annotations

import datetime as dt

from django.utils import timezone
from django.utils.translation import get_language, pgettext
from django.utils.translation import gettext as _

from lots.codes import lots as lot_codes
from lots.trade.language import pick
from lots.trade.materials import MATERIALS
from lots.trade.stages import STAGES
from lots.trade.units import MG_PER_KG, date_text, g_text, kg_text, moment_text, number_text


def language() -> str:
    """Return the language of the paper."""
    return (get_language() or "en")[:2]


def stage_word(stage: str) -> str:
    """Return the word of a stage."""
    known = STAGES.get(stage)
    return pick(language(), known.english, known.japanese) if known else stage


def material_word(material: str) -> str:
    """Return the word of a material."""
    known = MATERIALS.get(material)
    return pick(language(), known.english, known.japanese) if known else material


def kind_word(kind: str, count: int = 1) -> str:
    """Return the word of a kind of pack."""
    one = {"tin": pgettext("kind of pack", "tin"), "bag": pgettext("kind of pack", "bag"), "stick": pgettext("kind of pack", "stick")}
    more = {"tin": pgettext("kind of pack", "tins"), "bag": pgettext("kind of pack", "bags"), "stick": pgettext("kind of pack", "sticks")}
    return (one if count == 1 else more).get(kind, kind)


def state_word(state: str) -> str:
    """Return the word of a plot's state of certification."""
    words = {"organic": _("organic"), "in conversion": _("in conversion to organic"), "conventional": _("conventional")}
    return words.get(state, state)


def loss_word(reason: str) -> str:
    """Return the word of a named loss."""
    words = {"spill": _("swept up"), "sweepings": _("sweepings"), "sample": _("samples"), "spoiled": _("spoiled"),
             "destroyed": _("destroyed"), "own_use": _("used in the house"), "gift": _("given away"), "in_mixer": _("left in the mixer")}
    return words.get(reason, reason)


def mass(mass_mg: float, places: int = 2) -> str:
    """Return a mass for a sentence: kilograms, grams below one hundred."""
    if abs(mass_mg) < MG_PER_KG / 10:
        return g_text(mass_mg, 0, language())
    return kg_text(mass_mg, places, language())


def net(mass_mg: int) -> str:
    """Return the net content of a pack as its label says it."""
    if mass_mg >= MG_PER_KG:
        return kg_text(mass_mg, 0 if mass_mg % MG_PER_KG == 0 else 2, language())
    return g_text(mass_mg, 0 if mass_mg % 1000 == 0 else 1, language())


def day(on: dt.date) -> str:
    """Return a day with its weekday."""
    return date_text(on, language())


def mill_day(at: dt.datetime) -> str:
    """Return the mill's day of a moment."""
    return date_text(timezone.localtime(at).date(), language())


def moment(at: dt.datetime) -> str:
    """Return a moment at the mill, without its offset."""
    return moment_text(timezone.localtime(at), language())


def moment_with_offset(at: dt.datetime) -> str:
    """Return a moment at the mill with its offset from world time, for papers that travel: 2026-08-12 (Wed) 10:04 +09:00."""
    local = timezone.localtime(at)
    offset = f"{local:%z}"
    return f"{moment_text(local, language())} {offset[:3]}:{offset[3:]}"


def count(number: int) -> str:
    """Return a count, grouped in threes."""
    return number_text(number, 0)


def lot_code(code: str) -> str:
    """Return a lot's code as people read it."""
    return lot_codes.print_form(code) if lot_codes.parse_lot_code(code) == code else code
