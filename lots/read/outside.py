"""Where the book ends: who supplied the leaf of a lot, what is told of it on older paper, and what went to others in bulk."""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterable
from dataclasses import dataclass

from lots.models import Flow, GoodsReceipt, HireMove, OpeningStock, Party, Step, Stock
from lots.read.balances import not_taken_back
from lots.read.names import LotName, lot_name, opened
from lots.read.walking import up


@dataclass(frozen=True, slots=True)
class Outside:
    """A beginning of leaf that is no harvest: a delivery (``party`` supplied it under ``code``) or stock from before the book
    (``party`` empty), its paper, what the paper or the supplier tells, and the packs that were sold before, to whom."""

    entry: int
    at: dt.datetime
    lot: LotName
    party: str
    code: str
    paper: str
    state: str
    told: str
    sold_count: int = 0
    sold_to: str = ""


@dataclass(frozen=True, slots=True)
class Bulk:
    """A lot that crossed the door for hire: to whom, under which paper, how much; ``is_there``: they still have it."""

    entry: int
    at: dt.datetime
    lot: LotName
    party: str
    paper: str
    mass_mg: int
    is_there: bool


def outside_of(step: int) -> list[Outside]:
    """Return the deliveries and old stock in the leaf of a step."""
    return outsides(up([step]))


def outsides(steps: Iterable[int]) -> list[Outside]:
    """Return the deliveries and old stock among some steps, in order of record."""
    ids = list(steps)
    bought = list(GoodsReceipt.objects.filter(pk__in=ids).select_related("step", "supplier").order_by("pk"))
    before = list(OpeningStock.objects.filter(pk__in=ids).select_related("step").order_by("pk"))
    if not bought and not before:
        return []
    lines = Flow.objects.filter(step__in=[row.pk for row in (*bought, *before)], kind=Flow.Kind.OUT).select_related("lot")
    lots = {line.step_id: lot_name(line.lot) for line in lines if line.lot is not None}
    names = opened([*(row.supplier.name for row in bought), *(row.sold_to for row in before)])
    return [
        *(Outside(
            row.step.entry_id, row.step.happened_at, lots[row.pk], names.get(row.supplier.name, row.supplier.code), row.supplier_lot,
            f"{row.paper_kind} {row.paper_no}".strip(), row.state, row.origin,
        ) for row in bought),
        *(Outside(
            row.step.entry_id, row.step.happened_at, lots[row.pk], "", "", row.paper_no, "", row.origin, row.sold_count,
            names.get(row.sold_to, ""),
        ) for row in before),
    ]


def gone_in_bulk(codes: Iterable[str]) -> list[Bulk]:
    """Return where whole lots went across the door for hire: handed over, or sent to another mill, by the codes of the lots."""
    stand = Step.objects.filter(not_taken_back(), stage="entrusting").values("pk")
    moves = Flow.objects.filter(step__in=stand, kind=Flow.Kind.IN, lot__code__in=list(codes))
    rows = list(moves.select_related("lot", "step").order_by("pk"))
    away = set(Stock.objects.filter(lot__holder__isnull=False, book_mg__gt=0).values_list("lot__step", flat=True))
    papers = {row.pk: row for row in HireMove.objects.filter(pk__in=[flow.step_id for flow in rows]).select_related("party")}
    names = opened(row.party.name for row in papers.values())
    return [
        Bulk(flow.step.entry_id, flow.step.happened_at, lot_name(flow.lot), said(papers[flow.step_id].party, names),
             papers[flow.step_id].paper_no, flow.mass_mg, flow.step.part == "hand_over" or flow.step_id in away)
        for flow in rows if flow.lot is not None
    ]


def said(party: Party, names: dict[str, str]) -> str:
    """Return a party by its name, else its code."""
    return names.get(party.name, party.code)
