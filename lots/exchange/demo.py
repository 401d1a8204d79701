"""The demo book: the season file, and beside it what a desk records besides: shading, treatments, consignments, a hold."""

from __future__ import annotations

import datetime as dt
import json
from collections.abc import Callable, Iterator
from decimal import Decimal
from pathlib import Path
from typing import Any

from django.db import transaction
from django.utils import timezone

from lots.exchange.demo_checks import lay_checks
from lots.exchange.demo_field import lay_field
from lots.exchange.demo_house import lay_house
from lots.exchange.demo_office import lay_office
from lots.exchange.demo_packs import lay_packs
from lots.exchange.demo_release import lay_release
from lots.exchange.demo_sale import lay_sale
from lots.exchange.season import load
from lots.exchange.season_acts import Recorded, mg
from lots.models import FieldPlot, JournalHead, PackedUnit
from lots.record import cleaning, dispatch, holding, milling, shading, treatment
from lots.record.acts import Act
from lots.record.lines import Weight
from lots.record.registers import enter

DAY_FIELDS = ("covered_on", "uncovered_on", "applied_on")


def load_demo(season: Path, desk: Path, tell: Callable[[int, int], None] = lambda *_: None) -> bool:
    """Load the demo into an empty book; return False, touching nothing, when the book has entries."""
    if JournalHead.objects.filter(size__gt=0).exists():
        return False
    data = json.loads(desk.read_text(encoding="utf-8"))
    with transaction.atomic():
        house = {**data["house"], "moisture_ceiling_frac": Decimal(data["house"]["moisture_ceiling_frac"])}
        load(season, house, data["valley"], tell=tell, more=[*field_work(data), *clean_downs(data), *holds(data)])
        complete_registers(data)
        for one in consignments(data):
            one.recorder(Act("F"), **one.asked, happened_at=one.at)
        lay_packs(desk.parent / "demo_packs.json")
        lay_field(desk.parent / "demo_field.json")
        lay_office(desk.parent / "demo_office.json")
        lay_release(desk.parent / "demo_release.json")
        lay_checks(desk.parent / "demo_checks.json")
        lay_sale(desk.parent / "demo_sale.json")
        lay_house(desk.parent / "demo_house.json")
        open_runs(data)
    return True


def days(row: dict[str, Any]) -> dict[str, Any]:
    """Return a row with its days and fractions read."""
    read = {k: dt.date.fromisoformat(v) if k in DAY_FIELDS and v else v for k, v in row.items()}
    return read | ({"rate_frac": Decimal(row["rate_frac"])} if "rate_frac" in row else {})


def field_work(data: dict[str, Any]) -> Iterator[Recorded]:
    """Yield covers and treatments, at eight in the morning of their day."""
    for table, recorder, key in (("shading", shading.cover, "covered_on"), ("treatments", treatment.apply, "applied_on")):
        for i, row in enumerate(data[table]):
            at = timezone.make_aware(dt.datetime.combine(dt.date.fromisoformat(row[key]), dt.time(8)))
            yield Recorded(at, -1, f"{table}[{i}]", recorder, days(row))


def holds(data: dict[str, Any]) -> Iterator[Recorded]:
    """Yield the holds."""
    for i, row in enumerate(data["holds"]):
        asked = {"lot": row["lot"], "reason": row["reason"]}
        yield Recorded(dt.datetime.fromisoformat(row["at"]), 20, f"holds[{i}]", holding.hold, asked)


def clean_downs(data: dict[str, Any]) -> Iterator[Recorded]:
    """Yield the clean-downs of sieve and filler, which a season file does not know."""
    for i, row in enumerate(data["clean_downs"]):
        asked = {"equipment": row["equipment"], "opened": True, "result": row["result"]}
        yield Recorded(dt.datetime.fromisoformat(row["at"]), 19, f"clean_downs[{i}]", cleaning.clean, asked)


def complete_registers(data: dict[str, Any]) -> None:
    """Enter consignees, and newer versions of plots and cultivars with what the season file does not know."""
    for row in data["parties"]:
        enter(Act("A"), table="party", code=row["code"], fields={k: row[k] for k in ("name", "contact", "roles")})
    for row in data["cultivars"]:
        enter(Act("A"), table="cultivar", code=row["code"], fields={k: v for k, v in row.items() if k != "code"})
    for row in data["plots"]:
        plot = FieldPlot.objects.select_related("grower").filter(code=row["code"]).order_by("-version")[0]
        kept = ("name", "area_a", "altitude_m", "planted_year", "state", "valley")
        fields = {k: getattr(plot, k) for k in kept} | {"grower": plot.grower.code if plot.grower else None}
        enter(Act("A"), table="field_plot", code=row["code"], fields=fields | {"disclosed": row["disclosed"], "place": row["place"]})


def consignments(data: dict[str, Any]) -> Iterator[Recorded]:
    """Yield the consignments; the packs are named by their kind."""
    ref = data["consignments_of"]
    units = PackedUnit.objects.filter(lot__maker_ref=ref, retained=False).select_related("lot", "product")
    series = {u.product.kind: u.lot.code for u in units}
    for i, row in enumerate(data["consignments"]):
        packs = [dispatch.Packs(series[p["series"]], p["pack_count"], p.get("first_no")) for p in row["packs"]]
        asked = {"consignee": row["consignee"], "packs": packs, "document_no": row["document_no"], "carrier": row["carrier"]}
        yield Recorded(dt.datetime.fromisoformat(row["at"]), 30, f"consignments[{i}]", dispatch.consign, asked)


def open_runs(data: dict[str, Any]) -> None:
    """Charge two pairs so that the stones are running when the demo is opened."""
    now = timezone.now()
    for row in data["open_runs"]:
        at = now - dt.timedelta(hours=row["hours_ago"])
        asked = {"pair": row["pair"], "lot": row["lot"], "job": row["job"]}
        milling.load(Act("D"), **asked, charge=Weight(mg(Decimal(row["charge_kg"])), "S3"), happened_at=at)
        if "tub_kg" in row:
            off = now - dt.timedelta(hours=row["tub_hours_ago"])
            powder = Weight(mg(Decimal(row["tub_kg"])), "S3")
            milling.tub(Act("D"), pair=row["pair"], powder=powder, ground_h=Decimal(row["tub_hours"]), happened_at=off)
            milling.load(Act("D"), **asked, charge=Weight(mg(Decimal(row["top_up_kg"])), "S3"), happened_at=off)
