"""Goods in: certificates that hold on a day, and the deliveries of a time."""

from __future__ import annotations

import datetime as dt
from dataclasses import dataclass

from lots.models import Certificate, Flow, GoodsReceipt, GoodsRefused, Hold
from lots.read.names import LotName, lot_name, opened


def standing_certificate(party: str, kind: str, material: str, day: dt.date) -> Certificate | None:
    """Return the certificate of a party that says this of a material on a day; the newest version of each counts."""
    rows = Certificate.objects.filter(party__code=party).order_by("code", "-version")
    newest: dict[str, Certificate] = {}
    for row in rows:
        newest.setdefault(row.code, row)
    fit = [
        c for c in newest.values()
        if not c.retired and c.kind == kind and c.holds_from_on <= day <= c.holds_until_on and material in c.materials.split()
    ]
    return min(fit, key=lambda c: c.code, default=None)


@dataclass(frozen=True, slots=True)
class Delivery:
    """One delivery: taken in with its lot, or sent away; what was found of label and seal, and whether it was stopped at once."""

    step: int
    entry: int
    at: dt.datetime
    supplier: str
    supplier_lot: str
    lot: LotName | None
    material: str
    mass_mg: int | None
    stated_mg: int | None
    paper: str
    label_check: str
    label_note: str
    seal: str
    state: str
    certificate: str
    is_held: bool
    why: str


def deliveries(most: int = 500) -> list[Delivery]:
    """Return the newest deliveries, taken in and sent away, newest first."""
    rows = [*taken_in(most), *sent_away(most)]
    return sorted(rows, key=lambda d: (d.at, d.step), reverse=True)[:most]


def taken_in(most: int) -> list[Delivery]:
    """Return what was taken in."""
    rows = list(
        GoodsReceipt.objects.exclude(step__corrected_by__part="reverse")
        .select_related("step", "supplier", "certificate").order_by("-pk")[:most]
    )
    lines = Flow.objects.filter(step__in=[r.pk for r in rows], kind=Flow.Kind.OUT).select_related("lot")
    opening = {line.step_id: line for line in lines}
    stops = Hold.objects.filter(lot__step__in=list(opening), kind=Hold.Kind.HOLD, ended_by__isnull=True)
    held = set(stops.values_list("lot__step", flat=True))
    names = opened(r.supplier.name for r in rows)
    return [
        Delivery(
            r.pk, r.step.entry_id, r.step.happened_at, names.get(r.supplier.name, r.supplier.code), r.supplier_lot,
            lot_name(opening[r.pk].lot), opening[r.pk].role, opening[r.pk].mass_mg, r.stated_mg, f"{r.paper_kind} {r.paper_no}".strip(),
            r.label_check, r.label_note, r.seal, r.state, r.certificate.number if r.certificate else "", r.pk in held, "",
        )
        for r in rows if r.pk in opening
    ]


def sent_away(most: int) -> list[Delivery]:
    """Return what was sent away."""
    rows = list(
        GoodsRefused.objects.exclude(step__corrected_by__part="reverse").select_related("step", "supplier").order_by("-pk")[:most]
    )
    names = opened(r.supplier.name for r in rows)
    return [
        Delivery(
            r.pk, r.step.entry_id, r.step.happened_at, names.get(r.supplier.name, r.supplier.code), r.supplier_lot, None, r.material,
            None, r.stated_mg, r.paper_no, "", "", "", "", "", is_held=False, why=r.why,
        )
        for r in rows
    ]
