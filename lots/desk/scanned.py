"""From what was scanned to what the recorders take, and to the sentence that stands under the scan line."""

from __future__ import annotations

from typing import Any

from django.utils.translation import gettext as _

from lots.desk.forms.fields import Scanned
from lots.desk.words import joined, mass, material_word, state_word
from lots.models import Lot, Register
from lots.read.registers import named
from lots.read.scanning import LeafSource, LotFacts, lot_facts, lot_named, lots_known, pack_scanned
from lots.trade.units import percent_text

SOURCES_SAID = 2


def lot_of(scanned: Scanned | None) -> Lot | None:
    """Return the lot that was scanned; a pack stands for the lot of its series."""
    if scanned is None:
        return None
    if scanned.kind == "pack":
        pack = pack_scanned(scanned.code)
        return lots_known().filter(code=pack.lot).first() if pack else None
    return lot_named(scanned.code if scanned.kind == "lot" else scanned.typed)


def lot_code(scanned: Scanned | None) -> str:
    """Return the code of a scanned lot, or what was typed: then the recorder says that it does not know it."""
    lot = lot_of(scanned)
    if lot is not None:
        return lot.code
    return scanned.typed if scanned else ""


def code_in(model: type[Register], scanned: Scanned | None) -> str:
    """Return the code of a scanned thing in its register, or what was typed."""
    row = named(model, scanned.typed) if scanned else None
    if row is not None:
        return row.code
    return scanned.typed if scanned else ""


def source_words(source: LeafSource) -> str:
    """Return one share of a lot's leaf: "Long Mist, Okuyutaka, organic"."""
    words = [source.plot, source.cultivar, state_word(source.state)]
    return _(", ").join(word for word in words if word)


def origin_words(sources: tuple[LeafSource, ...]) -> str:
    """Return where leaf came from, the largest shares first."""
    if len(sources) == 1:
        return source_words(sources[0])
    said = [
        _("%(share)s %(source)s") % {"share": percent_text(s.share_frac, 0), "source": source_words(s)}
        for s in sources[:SOURCES_SAID]
    ]
    more = len(sources) - len(said)
    return _("; ").join([*said, *([_("%(count)d more") % {"count": more}] if more else [])])


def left_words(facts: LotFacts) -> str:
    """Return how much of a lot is left."""
    if facts.here_count is not None:
        return _("%(here)d of %(made)d packs are here.") % {"here": facts.here_count, "made": facts.pack_count}
    if facts.used_up:
        return _("Nothing of it is left in the book.")
    return _("%(mass)s in the book.") % {"mass": mass(facts.book_mg)}


def hold_words(facts: LotFacts) -> str:
    """Return what stops a lot."""
    if not facts.holds:
        return ""
    hold = facts.holds[0]
    return _("Stopped: %(reason)s (lot %(lot)s).") % {"reason": hold.reason.rstrip("."), "lot": hold.lot}


def lot_sentence(facts: LotFacts, *, blind: bool = False) -> str:
    """Return a lot in one or two sentences. ``blind`` leaves out what the book has, for a count."""
    origin = origin_words(facts.sources)
    first = _(", ").join(part for part in (facts.name, material_word(facts.material), origin) if part)
    rest = (hold_words(facts), "" if blind else left_words(facts))
    return joined((_("%(what)s.") % {"what": first}, *rest))


def told(scanned: Scanned | None, *, blind: bool = False) -> str:
    """Return the sentence under a scan line that takes lots."""
    lot = lot_of(scanned)
    if lot is not None:
        return lot_sentence(lot_facts(lot), blind=blind)
    return _("No lot %(code)s is in the book.") % {"code": scanned.typed} if scanned else ""


def told_thing(model: type[Register], scanned: Scanned | None, unknown: Any) -> str:
    """Return the sentence under a scan line that takes things of a register."""
    row = named(model, scanned.typed) if scanned else None
    if row is not None:
        return _("%(code)s, %(name)s.") % {"code": row.code, "name": getattr(row, "name", "") or row.code}
    return str(unknown) % {"code": scanned.typed} if scanned else ""
