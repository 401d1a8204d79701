"""The same as a drawing in rows of figures and words: the visible table that stands under it and proves it."""

from __future__ import annotations

import itertools
from dataclasses import dataclass, replace
from math import isfinite

from lots.drawing.flow_plan import difference_name, finite, gap_mg, main_mg, shown, weighed_stages
from lots.drawing.words import ENGLISH, Words, decimals_for, figure, share
from lots.trade.lineage import Arrow, Box, LineageSheet, Tier
from lots.trade.season import Branch, SeasonFlow, StageFlow, Stream
from lots.trade.units import MG_PER_KG, number_text
from lots.trade.weighing import Verdict


@dataclass(frozen=True, slots=True)
class FlowRow:
    """One row of the table under the flow drawing; ``dry_mg`` is signed for a difference, and None where it is not known.

    ``kg``, ``part`` and ``usual`` are figures ready to print without units (``part`` with its sign for per cent).
    """

    stage: str
    what: str
    kg: str
    part: str
    usual: str
    verdict: Verdict | None
    dry_mg: float | None
    first: bool = False
    last: bool = False
    difference: bool = False


@dataclass(frozen=True, slots=True)
class LineageRow:
    """One row of the table under the lineage drawing: an arrow in words, with the tier it belongs to."""

    tier: Tier
    source: str
    target: str
    above: str
    below: str


def _input(stage: StageFlow, decimals: int, words: Words) -> FlowRow:
    kg = figure(finite(stage.input_mg) / MG_PER_KG, decimals)
    return FlowRow(stage.name, words.goes_in.format(label=stage.input_label), kg, "", "", None, stage.input_mg, first=True)


def _stream(stage: StageFlow, stream: Stream, decimals: int) -> FlowRow:
    part = share(stream.dry_mg, finite(stage.input_mg))
    return FlowRow(stage.name, stream.label, figure(stream.dry_mg / MG_PER_KG, decimals), part, "", None, stream.dry_mg)


def _difference(stage: StageFlow, stream: Stream, decimals: int, words: Words) -> FlowRow:
    known = isfinite(stream.dry_mg)
    usual = "" if stream.usual_mg is None else figure(stream.usual_mg / MG_PER_KG, decimals)
    kg = number_text(stream.dry_mg / MG_PER_KG, decimals, signed=True) if known else ""
    part = share(abs(stream.dry_mg), finite(stage.input_mg)) if known else ""
    return FlowRow(stage.name, difference_name(stream, stage.name, words), kg, part, usual, stream.verdict,
                   stream.dry_mg if known else None, difference=True)


def _between(before: StageFlow, after: StageFlow, decimals: int, words: Words) -> list[FlowRow]:
    """What waits between two stages, or joins from elsewhere."""
    gap = gap_mg(before, after)
    if gap == 0:
        return []
    kg = figure(abs(gap) / MG_PER_KG, decimals)
    if gap > 0:
        return [FlowRow(before.name, words.waiting, kg, "", "", None, gap)]
    label = after.input_label if main_mg(before) == 0 else words.elsewhere
    return [FlowRow(after.name, label, kg, "", "", None, -gap)]


def _stage(stage: StageFlow, decimals: int, words: Words) -> list[FlowRow]:
    drawn = [s for s in stage.streams if shown(s)]
    plain = [_stream(stage, s, decimals) for s in drawn if s.branch is not Branch.UNEXPLAINED]
    differences = [s for s in stage.streams if s.branch is Branch.UNEXPLAINED]
    return [_input(stage, decimals, words), *plain, *(_difference(stage, s, decimals, words) for s in differences)]


def _ended(rows: list[FlowRow]) -> list[FlowRow]:
    return [*rows[:-1], replace(rows[-1], last=True)]


def flow_rows(season: SeasonFlow, words: Words = ENGLISH) -> tuple[FlowRow, ...]:
    """The table under the flow drawing: every stream that is drawn, what waits or joins between stages, and every difference,
    also one of exactly nothing. Figures carry one decimal more than the drawing."""
    stages = weighed_stages(season)
    decimals = min(decimals_for(max((finite(s.input_mg) for s in stages), default=0.0)) + 1, 6)
    before: list[list[FlowRow]] = [[] for _ in stages]
    after: list[list[FlowRow]] = [[] for _ in stages]
    for i, (left, right) in enumerate(itertools.pairwise(stages)):
        rows = _between(left, right, decimals, words)
        (after[i] if gap_mg(left, right) > 0 else before[i + 1]).extend(rows)
    found: list[FlowRow] = []
    for stage, joins, waits in zip(stages, before, after, strict=True):
        rows = _stage(stage, decimals, words)
        found += _ended([rows[0], *joins, *rows[1:], *waits])
    return tuple(found)


def _named(box: Box | None, key: str) -> str:
    return " ".join((box.title, *box.lines)) if box else key


def lineage_rows(sheet: LineageSheet) -> tuple[LineageRow, ...]:
    """Every arrow of the lineage drawing in words, tier by tier, in the order of the stages."""
    boxes = {b.key: b for b in sheet.boxes}
    tiers = list(Tier)

    def place(arrow: Arrow) -> tuple[int, int]:
        source = boxes.get(arrow.source)
        return tiers.index(arrow.tier), source.column if source else 0

    return tuple(
        LineageRow(a.tier, _named(boxes.get(a.source), a.source), _named(boxes.get(a.target), a.target), a.above, a.below)
        for a in sorted(sheet.arrows, key=place)
    )
