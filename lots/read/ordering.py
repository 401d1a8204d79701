"""Orders: what each asks for, what has gone, what is open, and which series may serve it, first-expiring first."""

from __future__ import annotations

import datetime as dt
from collections import defaultdict
from collections.abc import Iterable
from dataclasses import dataclass

from django.db.models import Exists, OuterRef, QuerySet

from lots.codes.lots import parse_lot_code
from lots.models import Consignment, OrderCancel, OrderLine, PackedUnit, PackMove, SalesOrder
from lots.read.cases import taken_back
from lots.read.holding import StandingHold, holds_on_lot
from lots.read.loose import loose
from lots.read.names import lot_name, printed


@dataclass(frozen=True, slots=True)
class LineNow:
    """One line of an order: product, packs asked for and gone."""

    product: str
    name: str
    name_ja: str
    asked_count: int
    gone_count: int

    @property
    def open_count(self) -> int:
        """How many packs are still to go."""
        return max(0, self.asked_count - self.gone_count)


@dataclass(frozen=True, slots=True)
class OrderNow:
    """An order as it stands. ``ship_to`` and ``bill_to`` are codes of parties, with the commitments to their names."""

    step: int
    code: str
    ship_to: str
    ship_to_name: str
    bill_to: str
    bill_to_name: str
    wanted_on: dt.date | None
    reference: str
    market: str
    taken_at: dt.datetime
    cancelled: bool
    lines: tuple[LineNow, ...]

    @property
    def name(self) -> str:
        """The code as people read it."""
        return printed(self.code)

    @property
    def open_count(self) -> int:
        """How many packs are still to go; none of a cancelled order."""
        return 0 if self.cancelled else sum(line.open_count for line in self.lines)

    def line(self, product: str) -> LineNow | None:
        """Return the line of a product."""
        return next((line for line in self.lines if line.product == product), None)


def standing_orders() -> QuerySet[SalesOrder]:
    """Return the orders that were taken and not taken back."""
    return SalesOrder.objects.filter(~taken_back("step")).select_related("ship_to", "bill_to", "step")


def cancelled() -> Exists:
    """Return the condition that an order was cancelled."""
    return Exists(OrderCancel.objects.filter(~taken_back("step"), order=OuterRef("step")))


def order_named(text: str) -> SalesOrder | None:
    """Return the order of a code in any spelling, or of the buyer's own reference while it is the only one."""
    code = parse_lot_code(text)
    found = standing_orders().filter(code=code).first() if code else None
    if found is not None or not text.strip():
        return found
    named = list(standing_orders().filter(~cancelled(), reference__iexact=text.strip())[:2])
    return named[0] if len(named) == 1 else None


def orders_now(rows: Iterable[SalesOrder]) -> list[OrderNow]:
    """Return orders as they stand, in the order given."""
    orders = list(rows)
    ids = [order.pk for order in orders]
    asked: dict[int, list[OrderLine]] = defaultdict(list)
    for line in OrderLine.objects.filter(step__in=ids).select_related("product").order_by("pk"):
        asked[line.step_id].append(line)
    gone = gone_counts(ids)
    ended = set(OrderCancel.objects.filter(~taken_back("step"), order__in=ids).values_list("order_id", flat=True))
    return [order_now(order, asked[order.pk], gone[order.pk], cancelled=order.pk in ended) for order in orders]


def order_now(order: SalesOrder, lines: Iterable[OrderLine], gone: dict[str, int], *, cancelled: bool) -> OrderNow:
    """Return one order as it stands."""
    bill = order.bill_to
    return OrderNow(
        order.pk, order.code, order.ship_to.code, order.ship_to.name, bill.code if bill else "", bill.name if bill else "",
        order.wanted_on, order.reference, order.market, order.step.happened_at, cancelled,
        tuple(LineNow(x.product.code, x.product.name, x.product.name_ja, x.pack_count, gone.get(x.product.code, 0)) for x in lines),
    )


def gone_counts(orders: Iterable[int]) -> dict[int, dict[str, int]]:
    """Return for each order how many packs of each product have gone."""
    sent = Consignment.objects.filter(~taken_back("step"), order__in=list(orders))
    of_step = dict(sent.values_list("step_id", "order_id"))
    found: dict[int, dict[str, int]] = defaultdict(lambda: defaultdict(int))
    moves = PackMove.objects.filter(step__in=of_step, fate=PackMove.Fate.DISPATCHED)
    for step, product, count in moves.values_list("step_id", "unit__product__code", "pack_count"):
        found[of_step[step]][product] += count  # type: ignore[index]
    return found


def open_orders() -> list[OrderNow]:
    """Return the orders of which something is still to go, the earliest wanted day first."""
    rows = orders_now(standing_orders().filter(~cancelled()).order_by("pk"))
    left = [order for order in rows if order.open_count]
    return sorted(left, key=lambda o: (o.wanted_on is None, o.wanted_on or o.taken_at.date(), o.step))


@dataclass(frozen=True, slots=True)
class Serves:
    """A series of a product that an order asks for: how many may go, until when; ``hold`` or ``expired`` leave it out."""

    lot: str
    lot_code: str
    product: str
    free_count: int
    cased_count: int
    best_before_on: dt.date
    hold: StandingHold | None
    expired: bool

    @property
    def may_go(self) -> bool:
        """Whether it may serve."""
        return self.hold is None and not self.expired


def may_serve(order: OrderNow, on: dt.date) -> list[Serves]:
    """Return the series that are here of what is still to go: first-expiring first, and what is left out with its ground."""
    wanted = [line.product for line in order.lines if line.open_count]
    units = PackedUnit.objects.filter(product__code__in=wanted, retained=False).select_related("lot", "product")
    found = []
    for unit in units.order_by("best_before_on", "pk"):
        here = loose(unit)
        if here.free_count + here.cased_count > 0:
            holds = holds_on_lot(unit.lot)
            found.append(Serves(
                lot_name(unit.lot).name, unit.lot.code, unit.product.code, here.free_count, here.cased_count, unit.best_before_on,
                holds[0] if holds else None, unit.best_before_on < on,
            ))
    return found
