"""How the errors of scales and moistures add up over the lines of a step (first order, JCGM 100 5.1 and 5.2)."""

from __future__ import annotations

import math
from collections import defaultdict
from collections.abc import Iterable, Mapping, Sequence

from lots.balance.scales import u_display_mg, u_error_mg
from lots.trade.weighing import Side, Weighing


def kept_frac(line: Weighing) -> float:
    """Dry share of a line; where moisture is not known all counts as dry, which only a line of zero mass may use."""
    return 1 - (line.moisture_frac or 0.0)


def dry_mg(line: Weighing) -> float:
    """Dry matter of a line in mg, signed as its mass; NaN where there is mass but no moisture that can be."""
    if not line.mass_mg:
        return 0.0
    known = line.moisture_frac is not None and 0 <= line.moisture_frac < 1
    return line.mass_mg * kept_frac(line) if known else math.nan


def sums_mg(lines: Sequence[Weighing]) -> dict[Side, float]:
    """Dry matter in mg of each side; NaN for a side with a line whose moisture is missing."""
    return {side: math.fsum(dry_mg(line) for line in lines if line.side is side) for side in Side}


def _independent(lines: Iterable[Weighing], weights: Mapping[Side, float]) -> float:
    """Variance from division and repeatability, new at every reading."""
    return sum(
        line.reading_count * (weights[line.side] * kept_frac(line) * u_display_mg(line.scale)) ** 2
        for line in lines if line.scale is not None and line.reading_count > 0
    )


def _common_to_scale(lines: Iterable[Weighing], weights: Mapping[Side, float]) -> float:
    """Variance from the permissible errors: one error per scale, so its lines add with their signs."""
    per_scale: defaultdict[str, float] = defaultdict(float)
    for line in lines:
        if line.scale is not None and line.reading_count > 0:
            error_mg = line.reading_count * u_error_mg(line.mass_mg / line.reading_count, line.scale)
            per_scale[line.scale.code] += weights[line.side] * math.copysign(error_mg, line.mass_mg) * kept_frac(line)
    return sum(u * u for u in per_scale.values())


def _common_to_sample(lines: Iterable[Weighing], weights: Mapping[Side, float]) -> float:
    """Variance from moisture: one error per sample, so its lines add with their signs; without a sample, its own."""
    per_sample: defaultdict[str | int, float] = defaultdict(float)
    for place, line in enumerate(lines):
        per_sample[line.sample or place] += weights[line.side] * line.mass_mg * (line.u_moisture_frac or 0.0)
    return sum(u * u for u in per_sample.values())


def u_weighted(lines: Sequence[Weighing], weights: Mapping[Side, float]) -> float:
    """Standard uncertainty of a weighted sum of dry masses, ``weights`` by side; in mg times the unit of the weights.

    Independent per reading: division and repeatability. Common to a scale: its permissible error at the mean load of
    each line. Common to a sample: the error of its moisture. A line without a scale or without a reading was not
    weighed here (counted packs, a figure from a document): it carries its moisture only, because a weighing uncertainty
    would be invented; the scatter of the stage has to cover it. Raises ``Refused`` for a load beyond its scale.
    """
    parts = (_independent, _common_to_scale, _common_to_sample)
    return math.sqrt(sum(part(lines, weights) for part in parts))
