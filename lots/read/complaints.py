"""Complaints about lots, and about everything that was made of them."""

from __future__ import annotations

from collections.abc import Sequence

from django.db.models import Q

from lots.models import Complaint, Lot
from lots.read.results import standing_steps
from lots.read.tracing import first_draws
from lots.read.walking import down


def complaints_of(lots: Sequence[Lot]) -> list[Complaint]:
    """Return the standing complaints about lots (read with their step) and what was made of them, in order of receipt."""
    made = down(first_draws(lots))
    rows = Complaint.objects.filter(standing_steps("complaining")).filter(Q(lot__in=[lot.pk for lot in lots]) | Q(lot__step__in=made))
    return list(rows.select_related("lot", "step").order_by("received_on", "pk"))


def latest_complaints(most: int = 20) -> list[Complaint]:
    """Return the newest standing complaints, those on one lot beside each other."""
    rows = Complaint.objects.filter(standing_steps("complaining")).select_related("lot", "step").order_by("-pk")[:most]
    order: dict[int, int] = {}
    for row in rows:
        order.setdefault(row.lot_id, len(order))
    return sorted(rows, key=lambda row: (order[row.lot_id], row.received_on, row.pk))
