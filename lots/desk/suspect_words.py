"""Which entry would explain what does not add up, in words. A proposal is never more than that: the paper ticket decides."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from types import MappingProxyType

from django.http import HttpRequest
from django.utils.functional import Promise
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy, ngettext

from lots.balance.slips import SlipKind
from lots.balance.words import how_far
from lots.desk.access import may
from lots.desk.saying import count_word, node_stage_word, paragraph
from lots.desk.ways import way
from lots.desk.words import entry_number, language, material_word
from lots.read.suspected import Closed, Proposal, Suspected
from lots.trade.units import kg_text

#: What a hand or an eye did.
KIND_WORDS: MappingProxyType[SlipKind, str | Promise] = MappingProxyType({
    SlipKind.PLACE: gettext_lazy("the decimal mark in another place"),
    SlipKind.UNIT: gettext_lazy("grams and kilograms taken for each other"),
    SlipKind.SWAPPED: gettext_lazy("two digits changed places"), SlipKind.DOUBLED: gettext_lazy("a digit typed twice"),
    SlipKind.DROPPED: gettext_lazy("a digit left out"), SlipKind.MISREAD: gettext_lazy("one digit taken for another"),
    SlipKind.TARE: gettext_lazy("a vessel weighed along or taken off twice"),
})


@dataclass(frozen=True, slots=True)
class ClosedRow:
    """A balance that a proposal touches: as it stands and as it would stand."""

    name: str
    href: str
    before: str
    after: str


@dataclass(frozen=True, slots=True)
class ProposalRow:
    """One proposal on the page of a balance: its sentence, what would close, the way to correct that entry."""

    sentence: str
    closes: tuple[ClosedRow, ...]
    href: str


def of_steps(found: Sequence[Suspected], steps: Sequence[int]) -> Suspected | None:
    """Return what was found about some balances."""
    return next((s for s in found if set(s.steps) & set(steps)), None)


def explained(found: Suspected | None) -> str:
    """Return in a few sentences what would explain a fault, for a list: the one entry, or that one cannot choose."""
    if found is None or not found.proposals:
        return ""
    first = found.proposals[0]
    if found.unique and first.kind is SlipKind.CARRIED:
        return ""  # the fault's own sentence says it
    if found.unique:
        return paragraph([_("One entry explains it."), proposal_sentence(first), _("Look at the paper ticket. Nothing has been changed.")])
    return several(len(found.proposals))


def several(count: int) -> str:
    """Return that some entries would explain a fault alike."""
    said = ngettext(
        "%(count)s entry would explain it, and it is not sure enough to be named alone.",
        "%(count)s entries would explain it: not enough to choose.", count,
    ) % {"count": count_word(count)}
    return paragraph([said[:1].upper() + said[1:], _("Look at the paper tickets.")])


def opening(found: Suspected | None) -> str:
    """Return what stands above the proposals on the page of a balance."""
    if found is None or not found.proposals:
        return ""
    if not found.unique:
        return several(len(found.proposals))
    return _("One explanation closes everything that it touches. Look at the paper ticket. Nothing has been changed.")


def proposal_sentence(one: Proposal) -> str:
    """Return one proposal as a sentence."""
    special = {
        SlipKind.CARRIED: carried, SlipKind.OTHER_LOT: other_lot, SlipKind.NOT_WEIGHED: not_weighed, SlipKind.REWORK: poured_back,
    }
    return special[one.kind](one) if one.kind in special else mistyped(one)


def mistyped(one: Proposal) -> str:
    """Return a figure that was typed wrong."""
    words = {
        "what": what_of(one), "read": mass(one.read_mg), "meant": mass(one.proposed_mg), "slip": KIND_WORDS[one.kind],
        "entry": entry_of(one), "closed": closed_words(one),
    }
    return _("%(what)s: %(read)s stands in %(entry)s; %(meant)s (%(slip)s) closes %(closed)s.") % words


def carried(one: Proposal) -> str:
    """Return leaf that stayed in the hopper."""
    words = {
        "mass": mass(one.estimate_mg), "give": mass(one.u_estimate_mg), "first": one.closes[0].name, "last": one.closes[-1].name,
        "entry": entry_of(one), "read": mass(one.read_mg or 0),
    }
    went = _("%(mass)s dry, give or take %(give)s, went from %(first)s into %(last)s: that closes both.") % words
    return paragraph([went, _("As left-over, %(read)s stands in %(entry)s.") % words if one.entry else ""])


def other_lot(one: Proposal) -> str:
    """Return a line that belongs to another lot."""
    first, last = one.closes[0].name, one.closes[-1].name
    words = {"what": what_of(one), "read": mass(one.read_mg), "entry": entry_of(one), "first": first, "last": last}
    return _("%(what)s, %(read)s in %(entry)s, belongs to the other of %(first)s and %(last)s: that closes both.") % words


def not_weighed(one: Proposal) -> str:
    """Return a by-product that is missing."""
    words = {"what": material_word(one.lot), "mass": mass(one.estimate_mg)}
    return _("No %(what)s was weighed; about %(mass)s dry of it is missing, and as much is usual.") % words


def poured_back(one: Proposal) -> str:
    """Return oversize that was poured back without an entry."""
    words = {"lot": one.lot, "mass": mass(one.estimate_mg)}
    return _("About %(mass)s dry of %(lot)s seems to have been poured back without an entry.") % words


def what_of(one: Proposal) -> str:
    """Return what was weighed, and of which lot."""
    role = one.entry.role if one.entry else ""
    word = _("The count") if role == "counted" else material_word(role)
    word = word[:1].upper() + word[1:]
    return _("%(what)s of %(lot)s") % {"what": word, "lot": one.lot} if one.lot else word


def entry_of(one: Proposal) -> str:
    """Return the number of the entry."""
    return _("entry %(number)s") % {"number": entry_number(one.entry.seq)} if one.entry else ""


def closed_words(one: Proposal) -> str:
    """Return which balances a proposal closes: "this balance", "both", "all three"."""
    count = len(one.closes)
    if count == 1:
        return _("it")
    return _("both") if count == 2 else _("all %(count)s") % {"count": count_word(count)}


def mass(mass_mg: float | None) -> str:
    """Return a mass as a scale shows it."""
    return kg_text(mass_mg or 0.0, 3 if abs(mass_mg or 0) < 10_000_000 else 2, language())


def proposal_rows(request: HttpRequest, found: Suspected | None) -> list[ProposalRow]:
    """Return the proposals about a balance, each with what it would close and the way to its correction."""
    return [
        ProposalRow(proposal_sentence(one), tuple(map(closed_row, one.closes)), correction(request, one))
        for one in (found.proposals if found else ())
    ]


def closed_row(one: Closed) -> ClosedRow:
    """Return one balance that a proposal touches."""
    name = one.name if one.stage == "milling" else _("%(lot)s, %(stage)s") % {"lot": one.name, "stage": node_stage_word(one.stage)}
    return ClosedRow(name, way("balance-node", one.step), how_far(one.z_before, language()), how_far(one.z_after, language()))


def correction(request: HttpRequest, one: Proposal) -> str:
    """Return the way to correct an entry, for those who may."""
    if one.entry is None or one.entry.line is None or not may(request.user, "corrections-adjust"):
        return ""
    return way("corrections-adjust", one.entry.step)
