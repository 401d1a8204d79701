"""The entries behind a balance: every step that a line of it was written in, corrections too."""

from __future__ import annotations

import datetime as dt
from dataclasses import dataclass

from django.db.models import Q

from lots.models import Flow, Step, StockCount
from lots.read.balances import BalanceNode


@dataclass(frozen=True, slots=True)
class NodeEntry:
    """One entry behind a balance: its number, stage and part, when, on which machine."""

    seq: int
    stage: str
    part: str
    happened_at: dt.datetime
    machine: str


def entries_of(node: BalanceNode) -> list[NodeEntry]:
    """Return the entries behind a balance, in order of record."""
    steps = Step.objects.filter(behind(node)).select_related("equipment").order_by("pk")
    return [
        NodeEntry(s.entry_id, s.stage, s.part, s.happened_at, s.equipment.code if s.equipment else "") for s in steps
    ]


def behind(node: BalanceNode) -> Q:
    """Return the condition that a step belongs to a balance: its own step or run, corrections, and for a count the
    weighing that opened the lot. The draws in between stand in the book of the lot."""
    own = Q(pk=node.step) | Q(continues=node.step) | Q(corrects=node.step) | Q(corrects__continues=node.step)
    if node.stage != "counting":
        return own
    lot = StockCount.objects.filter(pk=node.step).values("lot")
    opened = Flow.objects.filter(lot__in=lot, kind=Flow.Kind.OUT).values("step")
    return own | Q(pk__in=opened)
