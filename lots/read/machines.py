"""Machines that hold leaf: who was on them when, when they were opened and cleaned, and how much may have gone over.

Stones, sieve, filler and mixer keep leaf or powder in closed spaces. Oven and sorting line are open and run empty, so they are
no contact (common practice, no source).
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from itertools import chain

from django.db.models import Max, Min
from django.db.models.functions import Coalesce

from lots.genealogy.contact import contacts
from lots.models import CleanDown, Step
from lots.read.balances import SINGLE, BalanceNode, nodes_of_runs, nodes_of_steps, not_taken_back
from lots.read.faults import answer, as_read_mg, estimate
from lots.read.milling import standing_runs
from lots.trade.lineage import Clean, Contact, Use

IN_CONTACT = ("milling", "sieving", "packing", "blending")
#: So many standard uncertainties are added to what may have stayed behind.
BOUND_K = 2.0


@dataclass(frozen=True, slots=True)
class Passed:
    """How much may have gone over at one contact, as read: at most ``bound_mg`` (None: nobody knows), and the estimate
    from both balances where they answer each other."""

    bound_mg: int | None
    estimate_mg: int | None = None


def uses() -> list[Use]:
    """Return every use of a stone pair, sieve, filler or mixer, from its first to its last step."""
    here = Step.objects.filter(not_taken_back(), stage__in=IN_CONTACT, equipment__isnull=False)
    rows = here.annotate(run=Coalesce("continues_id", "pk")).values_list("equipment__code", "run")
    spans = rows.annotate(first=Min("pk"), last=Max("pk")).order_by()
    return [Use(machine, first, last, run) for machine, run, first, last in spans]


def cleans() -> list[Clean]:
    """Return every clean-down that was not taken back."""
    stand = Step.objects.filter(not_taken_back(), stage="cleaning").values("pk")
    rows = CleanDown.objects.filter(step__in=stand).values_list("step__equipment__code", "step_id", "opened")
    return [Clean(machine, step, opened) for machine, step, opened in rows]


def all_contacts() -> tuple[Contact, ...]:
    """Return every contact between neighbouring runs, without bounds."""
    return contacts(uses(), cleans())


def balances_of(run_ids: Iterable[int]) -> dict[int, BalanceNode]:
    """Return the balance of each run or step that has one."""
    ids = set(run_ids)
    singles = Step.objects.filter(pk__in=ids, stage__in=SINGLE).values_list("pk", flat=True)
    nodes = chain(nodes_of_steps(singles), nodes_of_runs(standing_runs().filter(pk__in=ids, closed=True)))
    return {node.step: node for node in nodes}


def passed(over: Sequence[Contact]) -> dict[Contact, Passed]:
    """Return how much may have gone over at each of some contacts."""
    nodes = balances_of({run for each in over for run in (each.earlier, each.later)})
    return {each: passed_at(each, nodes) for each in over}


def passed_at(contact: Contact, nodes: Mapping[int, BalanceNode]) -> Passed:
    """Return how much may have gone over at one contact.

    Where the two balances answer each other, their common estimate with twice its uncertainty; else what the earlier
    run did not find, with twice its uncertainty, and never less than what such a run usually loses.
    """
    earlier, later = nodes.get(contact.earlier), nodes.get(contact.later)
    if earlier is None or earlier.balance.z is None:
        return Passed(None)
    if later is not None and later.balance.z is not None and answer(earlier, later):
        carried = estimate(earlier, later)
        if carried is not None and carried.t > BOUND_K**2:
            most_mg = carried.carried_mg + BOUND_K * carried.u_mg
            return Passed(round(as_read_mg(earlier, most_mg)), round(as_read_mg(earlier, carried.carried_mg)))
    stayed_mg = max(earlier.balance.d_mg + BOUND_K * earlier.balance.u_mg, earlier.balance.e_mg)
    return Passed(round(as_read_mg(earlier, stayed_mg)))
