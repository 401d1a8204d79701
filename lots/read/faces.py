"""What the page of a pack may say: gathered once for a series, as far as the maker discloses it."""

from __future__ import annotations

import json
from collections.abc import Iterable, Mapping, Sequence
from typing import Any

from django.db.models import Q, Sum
from django.utils import timezone

from lots.models import FieldPlot, Flow, HarvestFlush, MillingTub, PackedUnit, Shading
from lots.read.composing import stored_shares
from lots.read.shading import covers, shaded
from lots.read.walking import up
from lots.trade.materials import GROUND


def faces(unit_ids: Iterable[int]) -> dict[int, str]:
    """Return the facts of each series as JSON text. What many series share is asked once: harvests, and a step's stones."""
    units = list(PackedUnit.objects.filter(pk__in=list(unit_ids)).select_related("product", "lot", "step"))
    shares = {step: stored_shares(step) for step in {unit.step_id for unit in units}}
    words = harvest_words({harvest for rows in shares.values() for harvest, _, _ in rows if harvest is not None})
    ground = {step: milled(step) for step in shares}
    found = {u.pk: face(u, shares[u.step_id], words, ground[u.step_id]) for u in units}
    return {pk: json.dumps(facts, ensure_ascii=False, sort_keys=True) for pk, facts in found.items()}


def face(
    unit: PackedUnit, shares: Sequence[tuple[int | None, str, float]], words: Mapping[int, dict[str, Any]], ground: dict[str, Any]
) -> dict[str, Any]:
    """Return what may be said of one series."""
    return {
        "product": unit.product.name,
        "product_ja": unit.product.name_ja,
        "kind": unit.product.kind,
        "net_mg": unit.product.net_mg,
        "lot": unit.lot.code,
        "maker_ref": unit.lot.maker_ref,
        "packed_on": unit.packed_on.isoformat(),
        "best_before_on": unit.best_before_on.isoformat(),
        "origins": [{"share_frac": share, **words[harvest]} for harvest, _, share in shares if harvest is not None],
        "unknown_frac": sum(share for harvest, _, share in shares if harvest is None),
        "milled": ground,
    }


def harvest_words(steps: Iterable[int]) -> dict[int, dict[str, Any]]:
    """Return what may be said of some harvests: the plot by its newest version, never more than it discloses."""
    flushes = HarvestFlush.objects.select_related("plot", "cultivar").in_bulk(list(steps))
    codes = {flush.plot.code for flush in flushes.values()}
    plots = {plot.code: plot for plot in FieldPlot.objects.filter(code__in=codes).select_related("grower").order_by("version")}
    laid = covers(codes)
    return {
        step: origin_words(flush, plots[flush.plot.code], laid.get((flush.plot.code, flush.flush_no), []))
        for step, flush in flushes.items()
    }


def origin_words(flush: HarvestFlush, plot: FieldPlot, laid: Sequence[Shading]) -> dict[str, Any]:
    """Return what may be said of one harvest."""
    named = plot.disclosed != FieldPlot.Disclosed.VALLEY
    told = plot.disclosed == FieldPlot.Disclosed.GROWER and plot.grower is not None
    return {
        "cultivar": flush.cultivar.name,
        "cultivar_ja": flush.cultivar.name_ja,
        "plot": plot.name if named else "",
        "altitude_m": plot.altitude_m if named else None,
        "valley": plot.valley,
        "state": plot.state,
        "grower": plot.grower.name if told and plot.grower else "",
        "flush_no": flush.flush_no,
        "plucked_on": flush.plucked_on.isoformat() if named else flush.plucked_on.replace(day=1).isoformat(),
        "shaded_days": lain.days.covered_days if (lain := shaded(laid, flush.plucked_on)) else None,
    }


def milled(step: int) -> dict[str, Any]:
    """Return when the powder of a step was milled, on how many stone pairs, and at what rate."""
    rows = MillingTub.objects.filter(step__in=up([step])).values_list("step_id", "step__happened_at", "step__equipment__code", "ground_h")
    tubs = list(rows)
    if not tubs:
        return {}
    ids = [tub for tub, *_ in tubs]
    lines = Flow.objects.filter(Q(step__in=ids) | Q(step__corrects__in=ids), kind=Flow.Kind.OUT, role__in=GROUND)
    ground_mg = lines.aggregate(sum=Sum("mass_mg"))["sum"]
    hours = float(sum(h for *_, h in tubs))
    days = sorted(timezone.localtime(at).date() for _, at, _, _ in tubs)
    return {
        "first_on": days[0].isoformat(),
        "last_on": days[-1].isoformat(),
        "pair_count": len({pair for _, _, pair, _ in tubs}),
        "rate_g_per_h": round(ground_mg / 1000 / hours, 1) if hours else None,
    }
