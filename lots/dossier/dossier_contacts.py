"""The contacts on a lot's way in words: what may have come over on a machine, and what a clean-down shut out."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from django.utils.translation import gettext as _

from lots.dossier import words
from lots.dossier.lineage import bound_words
from lots.read.trace_records import Cleaned, Excluded, Touched, Trace
from lots.recall.ranges import Span, range_words
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
    machines = ", ".join(dict.fromkeys(clean.machine for clean in each.cleaned))
    return ContactRow(tier_word(Tier.EXCLUDED), earlier, later, machines, cleaned_words(each.cleaned))


def cleaned_words(cleaned: Sequence[Cleaned]) -> str:
    """Return which machines were opened and cleaned, when, and in which entries; those of one moment together."""
    moments = {each.happened_at: [other for other in cleaned if other.happened_at == each.happened_at] for each in cleaned}
    return _("; ").join(one_moment(together) for together in moments.values())


def one_moment(cleaned: Sequence[Cleaned]) -> str:
    """Return the clean-downs of one moment in words."""
    when = words.moment(cleaned[0].happened_at)
    if len(cleaned) == 1:
        return _("%(machine)s was opened and cleaned on %(when)s (entry %(entry)s)") % {
            "machine": cleaned[0].machine, "when": when, "entry": words.count(cleaned[0].entry),
        }
    return _("%(machines)s were opened and cleaned on %(when)s (entries %(entries)s)") % {
        "machines": ", ".join(each.machine for each in cleaned), "when": when,
        "entries": range_words([Span(each.entry, each.entry) for each in cleaned]),
    }
