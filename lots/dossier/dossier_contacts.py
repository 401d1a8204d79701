"""The contacts on a lot's way in words: what may have come over on a machine, and what a clean-down shut out."""

from __future__ import annotations

from dataclasses import dataclass

from django.utils.translation import gettext as _

from lots.dossier import words
from lots.dossier.lineage import bound_words
from lots.read.trace_records import Excluded, Touched, Trace
from lots.trade.lineage import Tier


@dataclass(frozen=True, slots=True)
class ContactRow:
    """One contact as printed: its tier, the two stops, the machines, and the bound or what shuts it out."""

    tier: str
    earlier: str
    later: str
    machines: str
    why: str


def tier_word(tier: Tier) -> str:
    """Return the word of a tier."""
    return {
        Tier.CONTAINS: _("contains"), Tier.TOUCHED: _("may have touched"), Tier.EXCLUDED: _("excluded"),
    }[tier]


def contact_rows(traced: Trace) -> list[ContactRow]:
    """Return every contact of a trace, those that stand first."""
    return [*(touched_row(traced, each) for each in traced.touched), *(shut_row(traced, each) for each in traced.excluded)]


def touched_row(traced: Trace, each: Touched) -> ContactRow:
    """Return a contact that stands."""
    return ContactRow(
        tier_word(Tier.TOUCHED), traced.stop(each.earlier).name, traced.stop(each.later).name, ", ".join(each.machines),
        bound_words(each.bound_mg),
    )


def shut_row(traced: Trace, each: Excluded) -> ContactRow:
    """Return a contact that clean-downs shut out."""
    ends = (each.ours, each.other) if each.forward else (each.other, each.ours)
    earlier, later = (next((stop.name for stop in traced.stops if stop.key == key), "") for key in ends)
    why = _("; ").join(
        _("%(machine)s was opened and cleaned on %(when)s (entry %(entry)s)") % {
            "machine": clean.machine, "when": words.moment(clean.happened_at), "entry": words.count(clean.entry),
        } for clean in each.cleaned
    )
    return ContactRow(tier_word(Tier.EXCLUDED), earlier, later, ", ".join(dict.fromkeys(c.machine for c in each.cleaned)), why)
