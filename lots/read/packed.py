"""What was packed lately: the lots that papers are most often asked for."""

from __future__ import annotations

import datetime as dt
from dataclasses import dataclass

from lots.models import PackedUnit
from lots.read.names import LotName, lot_name


@dataclass(frozen=True, slots=True)
class Packed:
    """A series of packs: its lot, how many, of which product, packed when."""

    lot: LotName
    pack_count: int
    product: str
    packed_on: dt.date


def packed_lately(most: int = 6) -> list[Packed]:
    """Return the newest series that were not kept back as samples, the newest first."""
    units = PackedUnit.objects.filter(retained=False).select_related("lot", "product").order_by("-pk")[:most]
    return [Packed(lot_name(u.lot), u.pack_count, u.product.name, u.packed_on) for u in units]
