"""What proves a lot's records: its entries with their place in the journal and their leaf hash, and those of its way."""

from __future__ import annotations

import datetime as dt
from collections.abc import Collection, Sequence
from dataclasses import dataclass

from django.db.models import Q

from lots.models import Lot, LotEntry, Step
from lots.read.names import LotName, lot_name
from lots.read.paper_heads import PaperHead


@dataclass(frozen=True, slots=True)
class EntryProof:
    """One entry of a lot: the lot's ``n``-th, at place ``seq`` of the journal, with the hash over its bytes."""

    lot: LotName
    n: int
    seq: int
    kind: str
    happened_at: dt.datetime
    recorded_at: dt.datetime
    leaf_hash: bytes


@dataclass(frozen=True, slots=True)
class LotProof:
    """The entries of some lots, the places of all entries on the way of their leaf, and the journal's size and root."""

    entries: tuple[EntryProof, ...]
    way_entries: tuple[int, ...]
    size: int
    root: bytes


def lot_proof(lots: Sequence[Lot], back_steps: Collection[int], head: PaperHead) -> LotProof:
    """Return what proves the records of some lots of one step, as the journal stands."""
    rows = LotEntry.objects.filter(lot__in=[lot.pk for lot in lots]).select_related("lot", "entry").defer("entry__body")
    entries = tuple(entry_proof(row) for row in rows.order_by("lot_id", "n"))
    return LotProof(entries, way_entries(back_steps), head.entry_count, head.root)


def entry_proof(row: LotEntry) -> EntryProof:
    """Return one entry of a lot."""
    entry = row.entry
    return EntryProof(lot_name(row.lot), row.n, entry.seq, entry.kind, entry.happened_at, entry.recorded_at, bytes(entry.leaf_hash))


def way_entries(back_steps: Collection[int]) -> tuple[int, ...]:
    """Return the places of every entry that wrote a step of the way, its run or a correction of it, in order."""
    runs = {step.run_id for step in Step.objects.filter(pk__in=list(back_steps), stage="milling")}
    way = Step.objects.filter(Q(pk__in=list(back_steps)) | Q(continues__in=runs) | Q(pk__in=runs)).values("pk")
    rows = Step.objects.filter(Q(pk__in=way) | Q(corrects__in=way)).values_list("entry_id", flat=True)
    return tuple(sorted(set(rows)))
