"""What the deliveries of a plot weighed: their bags, and the fresh leaf of each flush, by which a new slip is looked at."""

from __future__ import annotations

from lots.models import HarvestFlush, Lot

#: The usual bag is taken from so many of the last deliveries.
DELIVERIES_MOST = 12


def bag_means_mg(plot: str) -> list[float]:
    """Return the bag means in mg of the last deliveries of a plot that stand."""
    rows = HarvestFlush.objects.filter(plot__code=plot).exclude(step__corrected_by__part="reverse").order_by("-pk")
    found = rows.values_list("step__opened__mass_mg", "bag_count")[:DELIVERIES_MOST]
    return [mass_mg / count for mass_mg, count in found if count]


def flushes_mg(plot: str) -> dict[tuple[int, int], int]:
    """Return the fresh leaf of a plot in mg by year and flush, as it was weighed."""
    rows = Lot.objects.filter(step__harvestflush__plot__code=plot).exclude(step__corrected_by__part="reverse")
    found: dict[tuple[int, int], int] = {}
    for day, flush_no, mass_mg in rows.values_list("step__harvestflush__plucked_on", "step__harvestflush__flush_no", "mass_mg"):
        found[day.year, flush_no] = found.get((day.year, flush_no), 0) + mass_mg
    return found
