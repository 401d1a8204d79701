"""What the page of a pack may say: gathered once for a series, as far as the maker discloses it."""

from __future__ import annotations

import datetime as dt
import json
from collections.abc import Iterable, Sequence
from typing import Any

from django.db.models import Max, Min, Q, Sum
from django.utils import timezone

from lots.models import FieldPlot, Flow, HarvestFlush, PackedUnit, Shading, Step
from lots.read.composing import stored_shares
from lots.read.walking import up


def faces(unit_ids: Iterable[int]) -> dict[int, str]:
    """Return the facts of each series as JSON text."""
    units = PackedUnit.objects.filter(pk__in=list(unit_ids)).select_related("product", "lot", "step")
    return {u.pk: json.dumps(face(u), ensure_ascii=False, sort_keys=True) for u in units}


def face(unit: PackedUnit) -> dict[str, Any]:
    """Return what may be said of one series."""
    origins = [origin_words(harvest, share) for harvest, share in shares(unit.step_id)]
    return {
        "product": unit.product.name,
        "product_ja": unit.product.name_ja,
        "kind": unit.product.kind,
        "net_mg": unit.product.net_mg,
        "lot": unit.lot.code,
        "maker_ref": unit.lot.maker_ref,
        "packed_on": unit.packed_on.isoformat(),
        "best_before_on": unit.best_before_on.isoformat(),
        "origins": [o for o in origins if o],
        "unknown_frac": sum(share for harvest, share in shares(unit.step_id) if harvest is None),
        "milled": milled(unit.step_id),
    }


def shares(step: int) -> list[tuple[int | None, float]]:
    """Return the composition of a step as (harvest step, share), largest first."""
    return [(harvest, share) for harvest, _, share in stored_shares(step)]


def origin_words(harvest: int | None, share: float) -> dict[str, Any]:
    """Return what may be said of one harvest: the plot by the version in force today, never more than it discloses."""
    if harvest is None:
        return {}
    flush = HarvestFlush.objects.select_related("plot", "cultivar").get(pk=harvest)
    plot = FieldPlot.objects.filter(code=flush.plot.code).select_related("grower").order_by("-version")[0]
    named = plot.disclosed != FieldPlot.Disclosed.VALLEY
    told = plot.disclosed == FieldPlot.Disclosed.GROWER and plot.grower is not None
    return {
        "share_frac": share,
        "cultivar": flush.cultivar.name,
        "cultivar_ja": flush.cultivar.name_ja,
        "plot": plot.name if named else "",
        "altitude_m": plot.altitude_m if named else None,
        "valley": plot.valley,
        "state": plot.state,
        "grower": plot.grower.name if told and plot.grower else "",
        "flush_no": flush.flush_no,
        "plucked_on": flush.plucked_on.isoformat() if named else flush.plucked_on.replace(day=1).isoformat(),
        "shaded_days": shaded_days(flush),
    }


def shaded_days(flush: HarvestFlush) -> int | None:
    """Return how many days the plot was covered before this plucking, where it was recorded."""
    standing = Shading.objects.exclude(step__corrected_by__part="reverse")
    cover = standing.filter(plot__code=flush.plot.code, flush_no=flush.flush_no).order_by("-covered_on", "-pk")
    first: Sequence[Shading] = cover.filter(covered_on__lte=flush.plucked_on, covered_on__gt=flush.plucked_on - dt.timedelta(days=120))[:1]
    return (min(first[0].uncovered_on or flush.plucked_on, flush.plucked_on) - first[0].covered_on).days if first else None


def milled(step: int) -> dict[str, Any]:
    """Return when the powder of a step was milled, on how many stone pairs, and at what rate."""
    above = up([step])
    runs = Step.objects.filter(pk__in=above, stage="milling", part="tub")
    span = runs.aggregate(first=Min("happened_at"), last=Max("happened_at"))
    if span["first"] is None:
        return {}
    tubs = Flow.objects.filter(Q(step__in=runs) | Q(step__corrects__in=runs), kind=Flow.Kind.OUT, role="tub_powder")
    ground_mg = tubs.aggregate(sum=Sum("mass_mg"))["sum"]
    hours = float(runs.aggregate(sum=Sum("millingtub__ground_h"))["sum"])
    return {
        "first_on": timezone.localtime(span["first"]).date().isoformat(),
        "last_on": timezone.localtime(span["last"]).date().isoformat(),
        "pair_count": runs.values("equipment__code").distinct().count(),
        "rate_g_per_h": round(ground_mg / 1000 / hours, 1) if hours else None,
    }
