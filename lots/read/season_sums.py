"""The masses of a year by stage, side and material, on dry matter: one grouped query over all lines of the book."""

from __future__ import annotations

import datetime as dt
from collections import defaultdict
from collections.abc import Callable, Iterable
from dataclasses import dataclass

from django.db.models import F, Sum
from django.db.models.functions import Coalesce

from lots.models import Flow
from lots.read.milling import run_flows, standing_runs
from lots.read.sourcing import dry_mg
from lots.read.years import span_of

#: What stands on the shelf and waits for the stones.
SHELF = ("refined_leaf", "left_over")


@dataclass(frozen=True, slots=True)
class LineSum:
    """The dry mass of one kind of line: stage, side (in, out, lost), what it is, and the material of its lot."""

    stage: str
    kind: str
    role: str
    material: str
    dry_mg: float
    unmeasured_mg: int


@dataclass(frozen=True, slots=True)
class YearSums:
    """All sums of one year, what stood on the shelf when it began, and what is in the mill now (mg dry)."""

    sums: tuple[LineSum, ...]
    shelf_before_mg: float
    in_mill_mg: float

    def dry_mg(self, stage: str, kind: str, *materials: str) -> float:
        """Sum the lines of one side of a stage, of some materials only where they are named."""
        return sum(s.dry_mg for s in self.lines(stage, kind) if not materials or s.material in materials)

    def lines(self, stage: str, kind: str) -> list[LineSum]:
        """Return the lines of one side of a stage."""
        return [s for s in self.sums if s.stage == stage and s.kind == kind]

    def by(self, stage: str, kind: str, name: Callable[[LineSum], str]) -> dict[str, float]:
        """Return the dry masses of one side of a stage by material or by reason."""
        found: dict[str, float] = defaultdict(float)
        for line in self.lines(stage, kind):
            found[name(line)] += line.dry_mg
        return dict(found)

    @property
    def unmeasured_mg(self) -> int:
        """The mass as read of lines whose moisture nobody measured; it is summed as read."""
        return sum(s.unmeasured_mg for s in self.sums)


def year_sums(year: int) -> YearSums:
    """Return the sums of one year."""
    first, after = span_of(year)
    return YearSums(tuple(sums_between(first, after)), shelf_before_mg(first), in_mill_mg(first, after))


def sums_between(first: dt.datetime, after: dt.datetime) -> list[LineSum]:
    """Return the sums of all lines that happened in a span; a correction counts where its step counts."""
    at = Coalesce("step__corrects__happened_at", "step__happened_at")
    stage = Coalesce("step__corrects__stage", "step__stage")
    rows = (
        Flow.objects.annotate(at=at, stage=stage)
        .filter(at__gte=first, at__lt=after).exclude(kind=Flow.Kind.DIFFERENCE)
        .values("stage", "kind", "role", "moisture_frac", material=F("lot__material")).annotate(total=Sum("mass_mg"))
    )
    found: dict[tuple[str, str, str, str], list[float]] = defaultdict(lambda: [0.0, 0])
    for row in rows.order_by():
        key = (row["stage"], row["kind"], row["role"], row["material"] or "")
        found[key][0] += dry_mg(row["total"], row["moisture_frac"])
        found[key][1] += row["total"] if row["moisture_frac"] is None else 0
    return [LineSum(*key, dry, int(unmeasured)) for key, (dry, unmeasured) in sorted(found.items())]


def shelf_before_mg(first: dt.datetime) -> float:
    """Return the dry mass of leaf that stood on the shelf when a year began."""
    before = Flow.objects.filter(step__happened_at__lt=first, lot__material__in=SHELF)
    rows = before.values("kind", "moisture_frac").annotate(total=Sum("mass_mg")).order_by()
    signs = {Flow.Kind.OUT: 1, Flow.Kind.IN: -1, Flow.Kind.DIFFERENCE: 1}
    return sum(signs[Flow.Kind(r["kind"])] * dry_mg(r["total"], r["moisture_frac"]) for r in rows)


def in_mill_mg(first: dt.datetime, after: dt.datetime) -> float:
    """Return the dry mass that went into runs of a span which nobody closed, less what came out of them."""
    still_open = standing_runs().filter(closed=False, step__happened_at__gte=first, step__happened_at__lt=after)
    return balance_mg(run_flows(list(still_open.values_list("pk", flat=True))))


def balance_mg(flows: Iterable[Flow]) -> float:
    """Return inputs less outputs and losses of some lines, mg dry."""
    signs = {Flow.Kind.IN: 1, Flow.Kind.OUT: -1, Flow.Kind.LOST: -1}
    return sum(signs.get(Flow.Kind(f.kind), 0) * dry_mg(f.mass_mg, f.moisture_frac) for f in flows)
