"""Leaf that was lowered in state: everything made of it from then on is of the lower state, whatever its plots say."""

from __future__ import annotations

from collections.abc import Iterable

from lots.balance.period import worst_state
from lots.models import Removal, Step
from lots.read.balances import not_taken_back
from lots.read.walking import down


def lowered() -> dict[int, str]:
    """Return the steps that hold leaf which was lowered in state, each with the lowest state that was said of it."""
    stand = Step.objects.filter(not_taken_back(), stage="removing", part="downgrade").values("pk")
    rows = Removal.objects.filter(step__in=stand).exclude(state="").values_list("step_id", "state")
    found: dict[int, str] = {}
    for step, state in rows:
        for below in down([step]):
            found[below] = worst_state([found.get(below, state), state])
    return found


def state_of(step: int, states: Iterable[str]) -> str:
    """Return the state of a step's leaf from the states of its plots, lowered where somebody lowered it."""
    lower = lowered().get(step)
    return worst_state([*states, *([lower] if lower else [])])
