"""The composition of a step: shares of dry mass by harvest, as stored, or folded anew from the edges."""

from __future__ import annotations

from lots.genealogy.composition import UNKNOWN, fold
from lots.read.rows import marks, values
from lots.read.walking import links_up
from lots.trade.lineage import Link

STORED = """
SELECT c.harvest_id, c.plot_code, c.share_frac FROM origin o JOIN composition c ON c.held_by_id = o.held_by_id
WHERE o.step_id = %s ORDER BY c.share_frac DESC, c.harvest_id
"""
PLOTS = """
SELECT h.step_id, p.code FROM harvest_flush h JOIN field_plot p ON p.id = h.plot_id WHERE h.step_id IN ({marks})
"""


def stored_shares(step: int) -> list[tuple[int | None, str, float]]:
    """Return (harvest step or None, plot code, share of dry mass) of a step, largest share first: one statement."""
    return [(harvest, plot, share) for harvest, plot, share in values(STORED, [step])]


def folded_shares(step: int) -> list[tuple[int | None, str, float]]:
    """Return the same, worked out anew over every step above: a full trace that trusts nothing but the edges."""
    links = [Link(at, source, share) for at, source, share in links_up([step])]
    reached = sorted({link.source for link in links} | {step})
    plots = dict(values(PLOTS.format(marks=marks(reached)), reached))
    shares = fold(step, links, plots)
    found = [(None if h == UNKNOWN else h, plots.get(h, ""), share) for h, share in shares.items()]
    return sorted(found, key=lambda row: (-row[2], row[0] or 0))
