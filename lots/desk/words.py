"""Words and sentences that several screens say alike."""

from __future__ import annotations

import re
from collections.abc import Iterable

from django.utils.html import escape, format_html
from django.utils.safestring import SafeString, mark_safe
from django.utils.translation import get_language
from django.utils.translation import gettext as _

from lots.codes.lots import parse_lot_code, print_form
from lots.trade.language import pick
from lots.trade.materials import MATERIALS
from lots.trade.stages import STAGES
from lots.trade.units import MG_PER_KG, g_text, kg_text, number_text

#: Codes of lots and jobs, and days with their weekday: what is never broken over a line.
WHOLE = re.compile(r"(\b[A-Z]{1,4}\d{0,4}-(?:[0-9A-Z]+-)*[A-Z]*\d[0-9A-Z]*\b|\b\d{4}-\d\d-\d\d(?: \(\w+\)|（\w+）)?)")
#: Masses of whole tens of grams stand with two decimals, as the scales that weigh them show.
TEN_G_MG = 10_000


def language() -> str:
    """Return the language of the page."""
    return (get_language() or "en")[:2]


def material_word(material: str) -> str:
    """Return the word of the trade for a material or a named loss."""
    known = MATERIALS.get(material)
    if known is None:
        return loss_word(material)
    return pick(language(), known.english, known.japanese)


def loss_word(role: str) -> str:
    """Return the words for a named loss."""
    words = {
        "spill": _("spilt"), "sweepings": _("swept up"), "sample": _("taken as a sample"), "spoiled": _("spoiled packs"),
        "disposed": _("disposed of"),
        "charge": _("charge"), "packs": _("packs"), "destroyed": _("destroyed"), "own_use": _("used in the house"), "gift": _("given away"),
        "in_mixer": _("left in the mixer"), "counted": _("difference found by counting"),
    }
    return words.get(role, role)


def stage_word(stage: str) -> str:
    """Return the word of the trade for a stage."""
    known = STAGES.get(stage)
    return pick(language(), known.english, known.japanese) if known else stage


def state_word(state: str) -> str:
    """Return what a plot's state adds to a sentence; nothing where it promises nothing."""
    return {"organic": _("organic"), "in conversion": _("in conversion")}.get(state, "")


def mass(mass_mg: float, places: int | None = None) -> str:
    """Return a mass for a sentence: kilograms with the decimals of its scale, else as fits; grams below one hundred."""
    if abs(mass_mg) < MG_PER_KG / 10:
        return g_text(mass_mg, 0, language())
    if places is not None:
        return kg_text(mass_mg, places, language())
    return kg_text(mass_mg, 3 if mass_mg % TEN_G_MG else 2, language())


def decimals(value: float, places: int = 1) -> str:
    """Return a figure with one decimal."""
    return number_text(float(value), places)


def joined(sentences: Iterable[str]) -> str:
    """Return sentences as one text; Japanese needs no space between them."""
    return ("" if language() == "ja" else " ").join(sentence for sentence in sentences if sentence)


def entry_number(seq: int) -> str:
    """Return the number of an entry as pages print it."""
    return number_text(seq, 0)


def unbroken(text: str) -> SafeString:
    """Return a sentence for a page in which no code and no day is broken over a line."""
    parts = (format_html('<span class="num">{}</span>', part) if WHOLE.fullmatch(part) else escape(part) for part in WHOLE.split(text))
    return mark_safe("".join(parts))  # noqa: S308 - every part was escaped


def printed(code: str) -> str:
    """Return a lot code as people read it."""
    return print_form(code) if parse_lot_code(code) == code else code
