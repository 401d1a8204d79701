"""Words of the trade for the sentences of the recorders, in the language of the hand that types."""

from __future__ import annotations

from django.utils.translation import get_language
from django.utils.translation import gettext as _

from lots.trade.language import pick
from lots.trade.materials import MATERIALS


def language() -> str:
    """Return the language of the sentences."""
    return (get_language() or "en")[:2]


def material_word(material: str) -> str:
    """Return the word of a material, or of a named loss."""
    known = MATERIALS.get(material)
    return pick(language(), known.english, known.japanese) if known else loss_word(material)


def loss_word(role: str) -> str:
    """Return the name of a loss."""
    words = {
        "spill": _("spill"), "sweepings": _("sweepings"), "sample": _("sample"), "spoiled": _("spoiled"), "disposed": _("disposed of"),
        "destroyed": _("destroyed"), "own_use": _("own use"), "gift": _("gift"), "in_mixer": _("left in the mixer"),
    }
    return words.get(role, role)


def or_words(words: list[str]) -> str:
    """Return words of which one holds: "spill or sample"."""
    return _(" or ").join(words)


def register_word(what: str) -> str:
    """Return what a register holds, for its name in a sentence."""
    words = {
        "parties": _("parties"), "plots": _("plots"), "cultivars": _("cultivars"), "machines": _("machines"), "scales": _("scales"),
        "screens": _("screens"), "stone pairs": _("stone pairs"), "products": _("products"),
        "neighbours": _("neighbours"), "sales units": _("sales units"), "labels": _("labels"), "staff": _("staff"), "shelves": _("shelves"),
        "test pieces": _("test pieces"), "check weights": _("check weights"), "rooms": _("rooms"),
        "packaging": _("packaging"),
    }
    return words.get(what, what)


def state_word(state: str) -> str:
    """Return the word of a state of certification."""
    return {"organic": _("organic"), "in conversion": _("in conversion"), "conventional": _("conventional")}.get(state, state)


def hold_word(kind: str) -> str:
    """Return the word of a stop: a hold or a recall."""
    return {"hold": _("hold"), "recall": _("recall")}.get(kind, kind)


def kg(mass_mg: int, places: int = 3) -> str:
    """Return the figure of a mass in kilograms, without its unit."""
    return f"{mass_mg / 1e6:.{places}f}"
