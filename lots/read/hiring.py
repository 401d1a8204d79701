"""Milling for hire: which lots of ours another mill holds, and which lots here belong to others."""

from __future__ import annotations

import datetime as dt
from dataclasses import dataclass

from lots.models import HireMove, Lot, Stock
from lots.read.names import LotName, lot_name, opened


@dataclass(frozen=True, slots=True)
class HiredLot:
    """A lot whose owner is not its holder: whose it is and who has it ("" is the house), and what the book has of it."""

    lot: LotName
    at: dt.datetime
    owner: str
    holder: str
    book_mg: int


def hired_lots() -> list[HiredLot]:
    """Return the lots of which something is left and whose owner or holder is not the house, the oldest first."""
    apart = Lot.objects.filter(owner__isnull=False) | Lot.objects.filter(holder__isnull=False)
    rows = list(apart.select_related("step", "owner", "holder").order_by("pk"))
    left = dict(Stock.objects.filter(lot__in=rows).exclude(book_mg__lte=0).values_list("lot_id", "book_mg"))
    names = opened(party.name for row in rows for party in (row.owner, row.holder) if party)

    def name(party: object) -> str:
        return names.get(party.name, party.code) if party else ""  # type: ignore[attr-defined]

    return [
        HiredLot(lot_name(row), row.step.happened_at, name(row.owner), name(row.holder), left[row.pk]) for row in rows if row.pk in left
    ]


def hire_papers(steps: list[int]) -> dict[int, tuple[str, str]]:
    """Return party and paper of moves across the door."""
    rows = list(HireMove.objects.filter(pk__in=steps).select_related("party"))
    names = opened(row.party.name for row in rows)
    return {row.pk: (names.get(row.party.name, row.party.code), row.paper_no) for row in rows}
