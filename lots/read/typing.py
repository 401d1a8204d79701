"""Lines of a balance from what is being typed: nothing of it is in the book."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

from lots.balance.closure import close
from lots.models import Flow, Lot, MoistureRule, Scale, Stock
from lots.read.closing import expectation, scale_data, weighing
from lots.read.registers import in_force
from lots.trade.materials import MATERIALS, U_MOISTURE_FRAC
from lots.trade.weighing import Balance, Side, Weighing

TYPED = "typed"


@dataclass(frozen=True, slots=True)
class TypedMass:
    """A mass that was typed: its material, scale, in how many readings, and its moisture or whose sample it shares."""

    side: Side
    material: str
    mass_mg: int
    scale: Scale | None
    reading_count: int = 1
    moisture_frac: float | None = None
    like: Weighing | None = None


def rules() -> dict[str, MoistureRule]:
    """Return the maker's rules for moisture, by material or class."""
    return {rule.code: rule for rule in in_force(MoistureRule)}


def assumed_frac(material: str, known: dict[str, MoistureRule]) -> float | None:
    """Return the moisture that the house assumes of a by-product that nobody measured, None where it assumes none."""
    rule = known.get(material)
    return float(rule.assumed_frac) if rule is not None and rule.assumed_frac is not None else None


def typed_line(typed: TypedMass, known: dict[str, MoistureRule]) -> Weighing:
    """Return a typed mass as a line of a balance."""
    like = typed.like
    rule = known.get(typed.material) or known.get(MATERIALS[typed.material].moisture_class)
    u_frac = float(rule.u_moisture_frac) if rule else U_MOISTURE_FRAC[MATERIALS[typed.material].moisture_class]
    shared = typed.moisture_frac is None and like is not None
    return Weighing(
        typed.side, typed.material, typed.mass_mg, typed.reading_count,
        like.moisture_frac if shared and like else typed.moisture_frac,
        like.u_moisture_frac if shared and like else u_frac if typed.moisture_frac is not None else None,
        like.sample if shared and like else f"{TYPED}.{typed.material}", scale_data(typed.scale),
    )


def whole_lots(lots: Iterable[Lot]) -> list[Weighing]:
    """Return lots as lines in: all that the book has of each, at its opening weighing."""
    rows = list(lots)
    left = dict(Stock.objects.filter(lot__in=[lot.pk for lot in rows]).values_list("lot_id", "book_mg"))
    opening = Flow.objects.filter(lot__in=[lot.pk for lot in rows], kind=Flow.Kind.OUT).select_related("scale", "lot")
    first: dict[int, Flow] = {}
    for flow in opening.order_by("pk"):
        first.setdefault(flow.lot_id or 0, flow)
    lines = (in_line(first[lot.pk], left.get(lot.pk, 0)) for lot in rows if lot.pk in first)
    return list(lines)


def in_line(opening: Flow, mass_mg: int) -> Weighing:
    """Return a lot's opening weighing as a line in."""
    line = weighing(opening)
    return Weighing(
        Side.IN, line.label, mass_mg, line.reading_count, line.moisture_frac, line.u_moisture_frac, line.sample, line.scale,
        line.lot,
    )


def one_sample(lines: Iterable[Weighing]) -> Weighing | None:
    """Return a line whose sample all lines share, None where they stand on several."""
    found = list(lines)
    return found[0] if len({line.sample for line in found}) == 1 and found[0].sample else None


def balance_of(lines: Iterable[Weighing], stage: str, language: str) -> Balance:
    """Return the balance so far of a stage."""
    return close([line for line in lines if line.mass_mg], expectation(stage), language)
