"""What went otherwise on a lot's way, and the entries that prove its records."""

from __future__ import annotations

from dataclasses import dataclass

from django.utils.translation import gettext as _

from lots.dossier import words
from lots.dossier.dossier_balances import kg
from lots.read.dossiers import LotDossier
from lots.read.lot_book import HoldLine
from lots.read.lot_marks import Correction, Marks, QuestionedStep
from lots.recall.ranges import Span, range_words


@dataclass(frozen=True, slots=True)
class EntryRow:
    """One entry of the lot as printed: its place, what it is, when it was written, its hash."""

    place: str
    lot: str
    what: str
    written: str
    leaf_hash: str


def correction_words(each: Correction) -> str:
    """Return one correction as a sentence."""
    what = {"adjust": _("corrected"), "reverse": _("taken back")}.get(each.part, each.part)
    change = _("; %(mass)s kg in all") % {"mass": kg(each.change_mg, signed=True)} if each.part == "adjust" else ""
    return _("%(when)s: %(stage)s, entry %(entry)s was %(what)s by entry %(by)s%(change)s. Reason: %(reason)s") % {
        "when": words.moment(each.at), "stage": words.stage_word(each.stage), "entry": words.count(each.corrects_entry), "what": what,
        "by": words.count(each.entry), "change": change, "reason": each.reason,
    }


def questioned_words(each: QuestionedStep) -> str:
    """Return one questioned entry as a sentence."""
    return _("%(when)s: %(stage)s, entry %(entry)s was questioned (%(asked)s) and written with the reason: %(reason)s") % {
        "when": words.moment(each.at), "stage": words.stage_word(each.stage), "entry": words.count(each.entry),
        "asked": each.asked.rstrip("."), "reason": each.reason,
    }


def hold_words(hold: HoldLine) -> str:
    """Return one hold or recall as a sentence."""
    end = _("stands today")
    if hold.ended_at:
        end = _("ended %(when)s: %(reason)s") % {"when": words.moment(hold.ended_at), "reason": hold.ended_reason}
    return _("%(when)s: %(kind)s on %(lot)s (entry %(entry)s): %(reason)s; %(end)s") % {
        "when": words.moment(hold.since_at), "kind": {"hold": _("hold"), "recall": _("recall")}.get(hold.kind, hold.kind),
        "lot": hold.lot.name, "entry": words.count(hold.entry), "reason": hold.reason, "end": end,
    }


def mark_sentences(marks: Marks) -> list[str]:
    """Return everything that went otherwise, as sentences."""
    return [
        *map(correction_words, marks.corrections), *map(questioned_words, marks.questioned), *map(hold_words, marks.holds),
    ]


def entry_rows(facts: LotDossier) -> list[EntryRow]:
    """Return the entries of the lot itself."""
    return [
        EntryRow(words.count(each.seq), f"{each.lot.name} ({words.lot_code(each.lot.code)}), {each.n}", each.kind,
                 words.moment_with_offset(each.recorded_at), each.leaf_hash.hex())
        for each in facts.proof.entries
    ]


def way_entry_words(facts: LotDossier) -> str:
    """Return the places of the entries on the way as ranges."""
    return range_words([Span(place, place) for place in facts.proof.way_entries])
