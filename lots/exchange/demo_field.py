"""The field of the demo book: where the plots lie, their neighbours, what was put on them, and a delivery bag by bag."""

from __future__ import annotations

import datetime as dt
import json
import math
from decimal import Decimal
from pathlib import Path
from typing import Any

from django.utils import timezone

from lots.exchange.season_acts import mg
from lots.models import FieldPlot, Planting
from lots.quality.outlines import EARTH_M
from lots.read.names import opened
from lots.record import harvest, treatment, trimming
from lots.record.acts import Act
from lots.record.harvest import Deducted, Round
from lots.record.lines import Moisture, Weight
from lots.record.registers import enter

KEPT = ("name", "area_a", "altitude_m", "planted_year", "state", "valley", "disclosed")
#: A plot of the demo is so many times longer than wide.
LONG = 1.6


def lay_field(file: Path) -> None:
    """Record the field of the demo beside its season."""
    data = json.loads(file.read_text(encoding="utf-8"))
    for row in data["plots"]:
        lay_plot(row)
    for row in data["neighbours"]:
        enter(Act("A"), table="plot_neighbour", code=row["code"], fields={k: v for k, v in row.items() if k != "code"})
    for row in data["treatments"]:
        on = dt.date.fromisoformat(row["applied_on"])
        treatment.apply(Act("A"), **{**row, "applied_on": on}, happened_at=morning(on))
    for row in data["trims"]:
        on = dt.date.fromisoformat(row["trimmed_on"])
        trimming.trim(Act("A"), **{**row, "trimmed_on": on}, happened_at=morning(on))
    lay_today(data["now"])


def morning(day: dt.date) -> dt.datetime:
    """Return eight in the morning of a day."""
    return timezone.make_aware(dt.datetime.combine(day, dt.time(8)))


def lay_plot(row: dict[str, Any]) -> None:
    """Enter a newer version of a plot with its outline: a turned rectangle of the area that stands in the register."""
    plot = FieldPlot.objects.select_related("grower").filter(code=row["code"]).order_by("-version")[0]
    fields = {name: getattr(plot, name) for name in KEPT} | {
        "grower": plot.grower.code if plot.grower else None, "place": opened([plot.place]).get(plot.place, ""), "aspect": row["aspect"],
        "slope_frac": Decimal(row["slope_frac"]), "cover": row["cover"],
        "state_from_on": dt.date.fromisoformat(row["state_from_on"]) if row["state_from_on"] else None,
        "outline": rectangle(*row["middle"], float(plot.area_a), row["turn"]),
    }
    enter(Act("A"), table="field_plot", code=row["code"], fields=fields)


def rectangle(lat: float, lon: float, area_a: float, turn: float) -> str:
    """Return the corners of a turned rectangle round a middle, one pair a line."""
    wide = math.sqrt(area_a * 100 / LONG)
    corners = [(x * wide * LONG / 2, y * wide / 2) for x, y in ((-1, -1), (1, -1), (1, 1), (-1, 1))]
    turned = [(x * math.cos(turn) - y * math.sin(turn), x * math.sin(turn) + y * math.cos(turn)) for x, y in corners]
    shrink = math.cos(math.radians(lat))
    return "\n".join(f"{lat + math.degrees(y / EARTH_M):.6f}, {lon + math.degrees(x / EARTH_M / shrink):.6f}" for x, y in turned)


def lay_today(data: dict[str, Any]) -> None:
    """Record what stands in the list before the pickers go out, and leaf that came in this morning."""
    now = timezone.now()
    spray, sign, came = dict(data["spray"]), dict(data["notice"]), data["bags"]
    on = timezone.localdate() - dt.timedelta(days=spray.pop("days_ago"))
    spray["water_l_per_10_a"] = Decimal(spray["water_l_per_10_a"])
    treatment.apply(Act("A"), **spray, applied_on=on, happened_at=morning(on))
    treatment.notice(Act("A"), sprays_on=timezone.localdate() + dt.timedelta(days=sign.pop("days_ahead")), **sign)
    at, bags = now - dt.timedelta(hours=came["hours_ago"]), tuple(mg(Decimal(one)) for one in came["kg"])
    planted = Planting.objects.filter(plot__code=came["plot"]).select_related("cultivar").latest("pk")
    harvest.intake(
        Act("A"), plot=came["plot"], cultivar=planted.cultivar.code, flush_no=came["flush_no"],
        plucked_on=timezone.localtime(at).date(), bag_count=len(bags), fresh=Weight(sum(bags), "S1", len(bags)), bags_mg=bags,
        moisture=Moisture(Decimal(came["moisture"])), water=Deducted(mg(Decimal(came["water_kg"])), came["reason"]),
        plucked=Round(team=came["team"], method=came["method"], leaf_wet=True), happened_at=at,
    )
