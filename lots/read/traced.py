"""What the page of a trace shows beside the trace: the balances of its stops, and the names that people go by."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from lots.models import Cultivar, Lot
from lots.read.balances import BalanceNode
from lots.read.machines import balances_of
from lots.read.names import opened
from lots.read.registers import newest
from lots.read.trace_records import Trace
from lots.read.tracing import trace_lots


@dataclass(frozen=True, slots=True)
class Traced:
    """A trace with its balances. ``parties`` are the names behind commitments, growers and consignees, as far as they were not
    erased; ``disclosed`` is left empty, for the desk may read every plot; ``cultivars_ja`` is how cultivars are called in Japanese."""

    trace: Trace
    nodes: tuple[BalanceNode, ...]
    parties: dict[str, str]
    disclosed: dict[str, str]
    cultivars_ja: dict[str, str]


def traced(lots: Sequence[Lot]) -> Traced:
    """Return the trace of the lots that one step made, for the desk."""
    trace = trace_lots(lots)
    runs = {run for stop in trace.stops for run in (*stop.runs, *stop.steps)}
    sealed = [*(sent.name for sent in trace.consignments), *(origin.grower for origin in trace.origins)]
    return Traced(
        trace=trace, nodes=tuple(balances_of(runs).values()), parties=opened(sealed), disclosed={},
        cultivars_ja=dict(newest(Cultivar).exclude(name_ja="").values_list("name", "name_ja")),
    )
