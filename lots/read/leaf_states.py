"""The state of the leaf of every step: the lowest of what went into it, from the plots on the day of plucking, from what was
bought under a certificate, and from what somebody lowered."""

from __future__ import annotations

from lots.balance.period import fold_states
from lots.models import Edge, GoodsReceipt, HarvestFlush, Removal


def states_by_step() -> dict[int, str]:
    """Return the state by step, for all steps that hold leaf of a known state: four statements. What is not among them is not
    organic."""
    own = dict(HarvestFlush.objects.values_list("step_id", "plot__state"))
    own |= dict(GoodsReceipt.objects.filter(certificate__isnull=False).values_list("step_id", "state"))
    lowered = dict(Removal.objects.exclude(state="").values_list("step_id", "state"))
    links = Edge.objects.filter(share_frac__gt=0).order_by("step_id").values_list("step_id", "source_id")
    return fold_states(own, lowered, links.iterator())
