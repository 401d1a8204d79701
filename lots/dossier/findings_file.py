"""Everything that does not add up with what would explain it, for any other program: masses in milligrams, nothing in words."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from typing import Any

from lots.read.balances import BalanceNode
from lots.read.suspected import Proposal, Suspected


def findings(found: Iterable[Suspected], nodes: Sequence[BalanceNode]) -> list[dict[str, Any]]:
    """Return findings as plain values: steps touched, the first explanation, the others, and whether the first is unique."""
    by_step = {n.step: n for n in nodes}
    return [finding(one, by_step) for one in found]


def finding(one: Suspected, by_step: dict[int, BalanceNode]) -> dict[str, Any]:
    """Return one finding as plain values."""
    steps = [
        {"step": n.step, "stage": n.stage, "name": n.name, "machine": n.machine, "z": rounded(n.balance.z or 0.0)}
        for n in (by_step[step] for step in one.steps)
    ]
    first, *others = [explanation(p) for p in one.proposals] or [None]
    return {"steps": steps, "unique": one.unique, "explanation": first, "alternatives": others}


def explanation(one: Proposal) -> dict[str, Any]:
    """Return one explanation as plain values."""
    entry = one.entry
    return {
        "kind": str(one.kind),
        "entry": None if entry is None else {"seq": entry.seq, "step": entry.step, "line": entry.line, "role": entry.role},
        "lot": one.lot,
        "value_read_mg": one.read_mg,
        "value_proposed_mg": one.proposed_mg,
        "estimate_mg": round(one.estimate_mg),
        "u_estimate_mg": round(one.u_estimate_mg),
        "chance": rounded(one.chance_frac),
        "closes": [
            {"step": c.step, "stage": c.stage, "name": c.name, "z_before": rounded(c.z_before), "z_after": rounded(c.z_after)}
            for c in one.closes
        ],
    }


def rounded(value: float) -> float:
    """Return a figure with four decimals."""
    return round(value, 4)
