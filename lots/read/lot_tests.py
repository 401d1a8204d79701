"""What a dossier tells of tests: results of lots and of their leaf beside the limits of a day, decisions, complaints, certificates."""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from django.db.models import Q
from django.utils import timezone

from lots.models import Certificate, Complaint, FieldPlot, GoodsReceipt, LabResult, Lot
from lots.read.complaints import complaints_of
from lots.read.limits import Compared, compared, limits_on, not_tested
from lots.read.registers import newest
from lots.read.releases import Decision, decisions_of
from lots.read.results import lots_on_the_way, results_of


@dataclass(frozen=True, slots=True)
class LotTests:
    """Results with their comparisons on a day, what of the tables of that day nobody tested, and what was decided and said."""

    day: dt.date
    results: tuple[tuple[LabResult, tuple[Compared, ...]], ...]
    not_tested: tuple[str, ...]
    decisions: tuple[Decision, ...]
    complaints: tuple[Complaint, ...]
    certificates: tuple[Certificate, ...]


def lot_tests(lots: Sequence[Lot], plots: Iterable[str]) -> LotTests:
    """Return what is known of lots of one step (read with it) today; ``plots`` are those that their leaf grew on."""
    day = timezone.localdate()
    limits = limits_on(day)
    rows = list({row.pk: row for lot in lots for row in results_of(lot)}.values())
    way = set().union(*(lots_on_the_way(lot) for lot in lots))
    return LotTests(
        day, tuple((row, compared(row, limits, day)) for row in rows), tuple(not_tested(rows, limits)), tuple(decisions_of(way)),
        tuple(complaints_of(lots)), tuple(certificates_of(way, plots)),
    )


def certificates_of(lots: Iterable[int], plots: Iterable[str]) -> list[Certificate]:
    """Return the certificates of the growers of plots, and of the suppliers of lots that were taken in, whatever their days."""
    growers = newest(FieldPlot).filter(code__in=list(plots), grower__isnull=False).values("grower__code")
    suppliers = GoodsReceipt.objects.filter(step__opened__in=list(lots)).values("supplier__code")
    rows = newest(Certificate).filter(Q(party__code__in=growers) | Q(party__code__in=suppliers), retired=False)
    return list(rows.select_related("party"))
