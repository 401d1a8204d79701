"""What would explain what does not add up, with the entries of the book that it speaks of."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace
from hashlib import sha256

from django.core.cache import cache

from lots.balance.slips import SlipKind
from lots.balance.suspect_records import Explanation
from lots.models import Flow, JournalHead, MillingClose, Step
from lots.read.balances import BalanceNode
from lots.read.suspecting import Suspicion, suspicions
from lots.trade.weighing import Verdict

#: What was found stays as long as nothing is written: it is kept under the head of the journal.
KEPT_FOR_S = 24 * 60 * 60


@dataclass(frozen=True, slots=True)
class Entry:
    """One entry of the book: its journal entry, its step, and its line (None for a count, whose figure stands in its own row)."""

    seq: int
    step: int
    line: int | None
    role: str


@dataclass(frozen=True, slots=True)
class Closed:
    """A balance by step and name as it stands (``z_before``) and as it would stand."""

    step: int
    name: str
    stage: str
    z_before: float
    z_after: float


@dataclass(frozen=True, slots=True)
class Proposal:
    """One explanation: what was read and what is proposed in mg (None where no figure was typed), what the balances ask for with its
    standard uncertainty, the balances that it touches, its chance among all candidates."""

    kind: SlipKind
    entry: Entry | None
    lot: str
    read_mg: int | None
    proposed_mg: int | None
    estimate_mg: float
    u_estimate_mg: float
    closes: tuple[Closed, ...]
    chance_frac: float


@dataclass(frozen=True, slots=True)
class Suspected:
    """What is off (steps of balances, in order of record) and what would explain it; ``unique`` when the first is the only one."""

    steps: tuple[int, ...]
    proposals: tuple[Proposal, ...]
    unique: bool


def suspected(nodes: Sequence[BalanceNode]) -> tuple[Suspected, ...]:
    """Return what would explain what is off among some balances. Worked out once for each state of the book."""
    if all(n.balance.verdict in {Verdict.ADDS_UP, Verdict.CANNOT} for n in nodes):
        return ()
    key = f"suspected-{state_of_the_book()}-{len(nodes)}-{nodes[0].step}-{nodes[-1].step}"
    found: tuple[Suspected, ...] | None = cache.get(key)
    if found is None:
        found = told(suspicions(nodes))
        cache.set(key, found, KEPT_FOR_S)
    return found


def state_of_the_book() -> str:
    """Return what is another after every entry: the digest of the tree's frontier at the head of the journal."""
    frontier = JournalHead.objects.values_list("frontier", flat=True).first() or b""
    return sha256(bytes(frontier)).hexdigest()


def told(found: Sequence[Suspicion]) -> tuple[Suspected, ...]:
    """Return findings with the entries that they speak of."""
    entries = entries_of({e.key for s in found for e in s.finding.explanations if e.key})
    made = [
        Suspected(
            tuple(sorted(n.step for n in s.nodes)), tuple(proposal(e, s, entries.get(e.key)) for e in s.finding.explanations),
            s.finding.unique,
        )
        for s in found
    ]
    return with_closes(made)


def with_closes(found: Sequence[Suspected]) -> tuple[Suspected, ...]:
    """Return findings, those of leaf that stayed behind with the entry that closed the earlier run and its left-over."""
    runs = {p.closes[0].step for s in found for p in s.proposals if p.kind is SlipKind.CARRIED}
    closes = {
        c.step.continues_id: c for c in MillingClose.objects.filter(step__continues__in=runs).select_related("step").order_by("pk")
    } if runs else {}

    def with_close(p: Proposal) -> Proposal:
        close = closes.get(p.closes[0].step) if p.kind is SlipKind.CARRIED else None
        if close is None:
            return p
        return replace(p, entry=Entry(close.step.entry_id, close.pk, None, "left_over"), read_mg=close.left_over_mg)

    return tuple(replace(s, proposals=tuple(map(with_close, s.proposals))) for s in found)


def proposal(explanation: Explanation, suspicion: Suspicion, entry: Entry | None) -> Proposal:
    """Return one explanation as a proposal."""
    around = suspicion.by_position
    closes = tuple(
        Closed(node.step, node.name, node.stage, node.balance.z or 0.0, z)
        for node, z in ((around[i], z) for i, z in sorted(explanation.closes.items()))
    )
    kind = explanation.kind
    if kind is None:
        raise ValueError("Leaf that is simply gone is no proposal.")
    return Proposal(
        kind, entry, explanation.lot, explanation.read_mg, explanation.proposed_mg, explanation.estimate_mg, explanation.u_estimate_mg,
        closes, explanation.chance_frac,
    )


def entries_of(keys: Iterable[str]) -> dict[str, Entry]:
    """Return the entry of the book that each key names."""
    found = {}
    lines = {int(key.removeprefix("line ")): key for key in keys if key.startswith("line ")}
    for pk, seq, step, role in Flow.objects.filter(pk__in=lines).values_list("pk", "step__entry_id", "step_id", "role"):
        found[lines[pk]] = Entry(seq, step, pk, role)
    counts = {int(key.removeprefix("count ")): key for key in keys if key.startswith("count ")}
    for pk, seq in Step.objects.filter(pk__in=counts).values_list("pk", "entry_id"):
        found[counts[pk]] = Entry(seq, pk, None, "counted")
    return found
