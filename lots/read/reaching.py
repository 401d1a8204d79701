"""Everything that some steps reach, back to the fields or forward to the packs, by recorded flow and by contact.

The derived edges are read in sets; where a contact leads to another run, its history is read too, until nothing new is
found. So the number of queries follows how often leaf was milled again, not the size of the book.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass

from lots.genealogy.reach import Reach, reach_back, reach_forward
from lots.read.sourcing import runs_of, steps_of_runs
from lots.read.walking import links_up, run
from lots.trade.lineage import Contact, Link

LINKS_DOWN = """
WITH RECURSIVE reached(id) AS (
  SELECT id FROM step WHERE id IN ({marks})
  UNION SELECT e.step_id FROM reached CROSS JOIN edge e WHERE e.source_id = reached.id
) SELECT e.step_id, e.source_id, e.share_frac FROM reached CROSS JOIN edge e WHERE e.source_id = reached.id
"""
LinksOf = Callable[[Iterable[int]], list[tuple[int, int, float]]]
#: So many starts go into one query: engines limit how many values a statement takes.
BLOCK = 5000


def links_down(step_ids: Iterable[int]) -> list[tuple[int, int, float]]:
    """Return the edges below the steps as (step, source, share)."""
    return [(step, source, share) for step, source, share in run(LINKS_DOWN, step_ids)]


@dataclass(frozen=True, slots=True)
class Reached:
    """What some steps reach in one direction: the answer of `genealogy`, with the links and runs that it rests on."""

    forward: bool
    starts: tuple[int, ...]
    reach: Reach
    links: tuple[Link, ...]
    run_of: dict[int, int]
    contacts: tuple[Contact, ...]

    def run(self, step: int) -> int:
        """Return the run of a step."""
        return self.run_of.get(step, step)

    def members(self, run: int) -> tuple[int, ...]:
        """Return the steps of a run."""
        return tuple(sorted(s for s, r in self.run_of.items() if r == run)) or (run,)

    def near(self, contact: Contact) -> int:
        """Return the end of a contact that lies towards the starts."""
        return contact.earlier if self.forward else contact.later

    def far(self, contact: Contact) -> int:
        """Return the end of a contact that lies away from the starts."""
        return contact.later if self.forward else contact.earlier

    def doors(self) -> list[Contact]:
        """Return the standing contacts by which something may have come into, or gone out of, what holds the leaf."""
        inside = {self.run(step) for step in self.reach.contains}
        return [c for c in self.contacts
                if c.cleaned_by is None and self.near(c) in inside and self.far(c) not in inside]

    def beyond(self, door: Contact) -> Reach:
        """Return what lies behind a door."""
        step_ids = self.members(self.far(door))
        walk = reach_forward if self.forward else reach_back
        return walk(self.links, self.contacts, step_ids, self.run_of)


def reached(starts: Sequence[int], contacts: Sequence[Contact], *, forward: bool) -> Reached:
    """Return everything that the steps reach in one direction."""
    walk, links_of = (reach_forward, links_down) if forward else (reach_back, links_up)
    run_of = steps_of_runs(set(runs_of(starts).values()))
    links = read_links(links_of, starts)
    asked: set[int] = set()
    while True:
        reach = walk(links, contacts, starts, run_of)
        found = reach.contains | reach.may_have_touched
        fresh = {run_of.get(step, step) for step in found} - asked
        if not fresh:
            return Reached(forward, tuple(starts), reach, tuple(links), run_of, tuple(contacts))
        asked |= fresh
        of_runs = steps_of_runs(set(runs_of(fresh).values()))
        run_of |= of_runs
        asked |= set(of_runs.values())
        touched = {run_of.get(step, step) for step in reach.may_have_touched}
        links |= read_links(links_of, (step for step, root in of_runs.items() if root in touched))


def read_links(links_of: LinksOf, step_ids: Iterable[int]) -> set[Link]:
    """Return the links that lie behind some steps, block by block."""
    ids = sorted(set(step_ids))
    blocks = (ids[at : at + BLOCK] for at in range(0, len(ids), BLOCK))
    return {Link(*row) for block in blocks for row in links_of(block)}
