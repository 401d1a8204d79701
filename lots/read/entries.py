"""One journal entry: what it says in its own bytes, where it stands, and the lots that it touches."""

from __future__ import annotations

import datetime as dt
import json
from dataclasses import dataclass

from lots.journal.tree import leaf_hash
from lots.models import Hold, JournalEntry, JournalHead, LotEntry, Staff, Step
from lots.read.names import LotName, lot_name
from lots.read.recent import Recent, steps, with_lines


@dataclass(frozen=True, slots=True)
class TouchedLot:
    """A lot that an entry touches: it is the lot's ``n``-th entry."""

    lot: LotName
    n: int


@dataclass(frozen=True, slots=True)
class EntryPage:
    """One entry: position, kind, when it happened and when it was written, by which badge, why, its rows by table, its
    canonical bytes as text, its leaf hash, and whether that hash is the one of these bytes."""

    seq: int
    kind: str
    happened_at: dt.datetime
    recorded_at: dt.datetime
    act_id: str
    badge: str
    reason: str
    questioned: str
    row_counts: tuple[tuple[str, int], ...]
    steps: tuple[Recent, ...]
    holds: tuple[tuple[str, LotName, str], ...]
    lots: tuple[TouchedLot, ...]
    body: str
    leaf_hash: str
    hash_fits: bool
    entry_count: int
    corrects: int | None
    corrected_by: tuple[int, ...]

    @property
    def is_last(self) -> bool:
        """Whether it is the newest entry of the book."""
        return self.seq == self.entry_count - 1


def entry_page(seq: int) -> EntryPage | None:
    """Return an entry of the journal, or None for a position that it does not have."""
    row = JournalEntry.objects.filter(pk=seq).first()
    if row is None:
        return None
    data = bytes(row.body)
    body = json.loads(data)
    written = with_lines(list(steps(entry=seq).order_by("pk")))
    own = Step.objects.filter(entry=seq)
    spoken = own.filter(corrects__isnull=False).values_list("corrects__entry_id", flat=True).first()
    head = JournalHead.objects.values_list("size", flat=True).first() or 0
    return EntryPage(
        seq=row.seq, kind=row.kind, happened_at=row.happened_at, recorded_at=row.recorded_at, act_id=str(row.act_id),
        badge=Staff.objects.filter(name=body["by"]["$h"]).values_list("code", flat=True).first() or "",
        reason=str(body["act"].get("reason", "")), questioned=" ".join(own.values_list("questioned", flat=True)).strip(),
        row_counts=tuple((table, len(rows)) for table, rows in body["act"]["rows"].items()), steps=tuple(written),
        holds=tuple((h.kind, lot_name(h.lot), h.reason) for h in Hold.objects.filter(entry=seq).select_related("lot")),
        lots=touched(seq), body=data.decode(), leaf_hash=bytes(row.leaf_hash).hex(),
        hash_fits=leaf_hash(data) == bytes(row.leaf_hash), entry_count=head, corrects=spoken,
        corrected_by=tuple(Step.objects.filter(corrects__entry=seq).order_by("pk").values_list("entry_id", flat=True)),
    )


def touched(seq: int) -> tuple[TouchedLot, ...]:
    """Return the lots that an entry touches."""
    rows = LotEntry.objects.filter(entry=seq).select_related("lot").order_by("lot_id")
    return tuple(TouchedLot(lot_name(row.lot), row.n) for row in rows)
