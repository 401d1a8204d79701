"""Fresh leaf by plot, grower and year, and whether it is plausible: three statements."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Mapping
from dataclasses import dataclass

from django.db.models import Sum
from django.db.models.functions import Coalesce

from lots.models import FieldPlot, Flow
from lots.quality.field_yields import YieldDoubts, doubts, per_10_a_kg
from lots.read.names import opened
from lots.read.registers import newest


@dataclass(frozen=True, slots=True)
class YieldRow:
    """Fresh leaf of a plot or grower in a year and in the one before, as read (mg), with the area and what speaks against it."""

    code: str
    name: str
    grower: str
    state: str
    area_a: float
    mass_mg: int
    last_mass_mg: int
    doubts: YieldDoubts | None = None

    @property
    def kg_per_10_a(self) -> float | None:
        """Its yield."""
        return per_10_a_kg(self.mass_mg, self.area_a)

    @property
    def last_kg_per_10_a(self) -> float | None:
        """That of the year before; nothing where it gave no leaf."""
        return per_10_a_kg(self.last_mass_mg, self.area_a) if self.last_mass_mg else None

    @property
    def kg_per_ha(self) -> float | None:
        """Its yield per hectare."""
        return None if self.kg_per_10_a is None else self.kg_per_10_a * 10


def leaf_of_years(years: Iterable[int]) -> dict[tuple[str, int], int]:
    """Return the fresh leaf in mg by plot code and year of plucking, corrections counted and deducted water taken off."""
    flush = Coalesce("step__corrects__harvestflush__plot__code", "step__harvestflush__plot__code")
    year = Coalesce("step__corrects__harvestflush__plucked_on__year", "step__harvestflush__plucked_on__year")
    rows = Flow.objects.annotate(plot=flush, year=year).filter(plot__isnull=False, year__in=list(years))
    rows = rows.filter(kind__in=(Flow.Kind.OUT, Flow.Kind.DIFFERENCE))
    return {(plot, year): int(total) for plot, year, total in rows.values_list("plot", "year").annotate(total=Sum("mass_mg")).order_by()}


def plot_yields(year: int) -> list[YieldRow]:
    """Return every plot that gave leaf in a year or the one before."""
    leaf = leaf_of_years((year, year - 1))
    codes = {plot for plot, _year in leaf}
    plots = {p.code: p for p in newest(FieldPlot).filter(code__in=codes).select_related("grower")}
    names = opened(p.grower.name for p in plots.values() if p.grower)
    rows = [row_of(plots[code], leaf, year, names) for code in sorted(codes)]
    judged = doubts(figures(rows), {r.code: r.last_kg_per_10_a for r in rows if r.last_kg_per_10_a})
    return [with_doubts(row, judged) for row in rows]


def row_of(plot: FieldPlot, leaf: Mapping[tuple[str, int], int], year: int, names: Mapping[str, str]) -> YieldRow:
    """Return one plot."""
    grower = names.get(plot.grower.name, plot.grower.code) if plot.grower else ""
    return YieldRow(
        plot.code, plot.name, grower, plot.state, float(plot.area_a), leaf.get((plot.code, year), 0), leaf.get((plot.code, year - 1), 0)
    )


def figures(rows: Iterable[YieldRow]) -> dict[str, float]:
    """Return the yields of those that gave leaf this year."""
    return {row.code: row.kg_per_10_a for row in rows if row.mass_mg and row.kg_per_10_a is not None}


def with_doubts(row: YieldRow, judged: Mapping[str, YieldDoubts]) -> YieldRow:
    """Return a row with what speaks against it."""
    return YieldRow(row.code, row.name, row.grower, row.state, row.area_a, row.mass_mg, row.last_mass_mg, judged.get(row.code))


def grower_yields(rows: Iterable[YieldRow]) -> list[YieldRow]:
    """Return the same by grower, over all their plots that gave leaf."""
    found: dict[str, list[YieldRow]] = defaultdict(list)
    for row in rows:
        found[row.grower].append(row)
    return [
        YieldRow(grower, grower, grower, "", *(sum(getattr(row, name) for row in some) for name in ("area_a", "mass_mg", "last_mass_mg")))
        for grower, some in sorted(found.items())
    ]
