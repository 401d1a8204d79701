"""One delivery as its slip tells it: who gets it and who pays, what left, from where, under which document, and what is organic."""

from __future__ import annotations

import datetime as dt
from dataclasses import dataclass
from decimal import Decimal

from lots.models import ConsignedCase, Consignment, PackMove, Party, PartyContact, SalesCase, SalesOrder, Step
from lots.read.cases import taken_back
from lots.read.names import lot_name, opened, printed
from lots.read.trace_records import Trace
from lots.read.tracing import trace_lots


@dataclass(frozen=True, slots=True)
class Place:
    """A party as a slip names it; empty words where nothing is known or it was erased."""

    code: str
    name: str
    contact: str
    address: str


@dataclass(frozen=True, slots=True)
class Delivered:
    """Packs of one series on a slip: lot by name and code, product, how many, numbers, until when, cultivars, organic or not."""

    lot: str
    lot_code: str
    product: str
    product_ja: str
    kind: str
    net_mg: int
    pack_count: int
    numbers: tuple[tuple[int, int], ...]
    best_before_on: dt.date
    cultivars: tuple[str, ...]
    organic: bool


@dataclass(frozen=True, slots=True)
class Delivery:
    """One consignment or parcel. ``gone`` False: it was taken back, so no slip is made. ``entry`` is where it was written."""

    step: int
    entry: int
    gone: bool
    happened_at: dt.datetime
    ship_to: Place
    bill_to: Place | None
    recipient: str
    parcel: bool
    document_no: str
    order_code: str
    order_reference: str
    carrier: str
    carrier_contact: str
    ship_from: str
    least_c: Decimal | None
    most_c: Decimal | None
    lines: tuple[Delivered, ...]
    cases: tuple[str, ...]


def delivery(step: int) -> Delivery | None:
    """Return a delivery by its step, or None where the step is none."""
    row = Consignment.objects.select_related("consignee", "bill_to", "step").filter(pk=step).first()
    if row is None:
        return None
    order = SalesOrder.objects.filter(pk=row.order_id).first() if row.order_id else None
    told = opened([row.recipient, row.carrier_contact])
    codes = SalesCase.objects.filter(step__in=ConsignedCase.objects.filter(step=step).values("case")).order_by("pk")
    return Delivery(
        step, row.step.entry_id, not Step.objects.filter(taken_back("pk"), pk=step).exists(), row.step.happened_at,
        place(row.consignee, PartyContact.Use.SHIP_TO), place(row.bill_to, PartyContact.Use.BILL_TO) if row.bill_to else None,
        told.get(row.recipient, ""), row.step.part == "parcel",
        row.document_no, order.code if order else "", order.reference if order else "", row.carrier,
        told.get(row.carrier_contact, ""), row.ship_from, row.least_c, row.most_c, lines(step),
        tuple(printed(case.code) for case in codes),
    )


def place(party: Party, use: str) -> Place:
    """Return a party with the address that it wants for a use, as long as nothing was erased."""
    rows = PartyContact.objects.filter(party__code=party.code, use=use).order_by("-version", "-pk")
    best = next((row for row in rows if not row.retired), None)
    told = opened([party.name, party.contact, *([best.contact, best.address] if best else [])])
    contact = (told.get(best.contact, "") if best else "") or told.get(party.contact, "")
    return Place(party.code, told.get(party.name, ""), contact, told.get(best.address, "") if best else "")


def lines(step: int) -> tuple[Delivered, ...]:
    """Return what left, one line a series."""
    moves = PackMove.objects.filter(step=step, fate=PackMove.Fate.DISPATCHED).select_related("unit__lot__step", "unit__product")
    of_unit: dict[int, list[PackMove]] = {}
    for move in moves.order_by("pk"):
        of_unit.setdefault(move.unit_id, []).append(move)
    return tuple(line(some) for some in of_unit.values())


def line(moves: list[PackMove]) -> Delivered:
    """Return the packs of one series."""
    unit = moves[0].unit
    lot, product = unit.lot, unit.product
    traced = trace_lots([lot])
    numbers = tuple((m.first_no, m.last_no) for m in moves if m.first_no is not None and m.last_no is not None)
    return Delivered(
        lot_name(lot).name, lot.code, product.name, product.name_ja, product.kind, product.net_mg, sum(m.pack_count for m in moves),
        numbers if len(numbers) == len(moves) else (), unit.best_before_on,
        tuple(dict.fromkeys(o.cultivar for o in traced.origins if o.cultivar)), is_organic(traced),
    )


def is_organic(traced: Trace) -> bool:
    """Tell whether the book bears the word organic: all leaf is, and nothing that may have touched it is not."""
    touched = [o for t in traced.touched if not t.forward for o in (*t.origins, *t.behind)]
    whole = abs(sum(o.share_frac for o in traced.origins) - 1) < 1e-9
    return whole and all(o.harvest is not None and o.state == "organic" for o in (*traced.origins, *touched))
