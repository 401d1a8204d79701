"""The lines of a balance as the mathematics needs them, from flows with their corrections."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import replace

from lots.models import Flow, Scale, StageExpectation
from lots.trade.stages import STAGES
from lots.trade.weighing import Expectation, ScaleData, Side, Weighing

SIDES = {Flow.Kind.IN: Side.IN, Flow.Kind.OUT: Side.OUT, Flow.Kind.LOST: Side.LOST}


def scale_data(scale: Scale | None) -> ScaleData | None:
    """Return a scale of the register as the mathematics needs it."""
    if scale is None:
        return None
    return ScaleData(
        scale.code, scale.division_mg, scale.interval_mg, float(scale.u_repeat_mg), scale.accuracy_class, scale.capacity_mg
    )


def weighing(flow: Flow) -> Weighing:
    """Return one line of a step as one line of its balance."""
    known = flow.moisture_frac is not None
    return Weighing(
        side=SIDES[Flow.Kind(flow.kind)],
        label=flow.role,
        mass_mg=flow.mass_mg,
        reading_count=flow.reading_count,
        moisture_frac=float(flow.moisture_frac) if known else None,
        u_moisture_frac=float(flow.u_moisture_frac) if known else None,
        sample=flow.sample,
        scale=scale_data(flow.scale),
        lot=str(flow.lot) if flow.lot_id else "",
    )


def weighings(flows: Iterable[Flow]) -> list[Weighing]:
    """Return the lines of a balance: readings of one lot on one scale at one moisture are one line, and a correction is
    added to the line that it corrects (it carries the same lot, scale and sample).

    Differences are not lines of a step's balance: they belong to the shelf.
    """
    lines: dict[tuple[object, ...], Weighing] = {}
    for flow in flows:
        if flow.kind == Flow.Kind.DIFFERENCE:
            continue
        line, key = weighing(flow), (flow.kind, flow.role, flow.lot_id, flow.scale_id, flow.sample)
        first = lines.get(key)
        lines[key] = line if first is None else replace(
            first, mass_mg=first.mass_mg + line.mass_mg, reading_count=first.reading_count + line.reading_count
        )
    return [line for line in lines.values() if line.mass_mg or line.reading_count]


def expectation(stage: str) -> Expectation:
    """Return what a stage usually loses: the maker's register, else the catalogue's default."""
    row = StageExpectation.objects.filter(code=stage).order_by("-version").first()
    if row is None or row.retired:
        known = STAGES[stage]
        return Expectation(stage, known.loss_frac, known.sd_frac, 0)
    return Expectation(stage, float(row.loss_frac), float(row.sd_frac), row.lot_count)


def expectations() -> dict[str, Expectation]:
    """Return what each stage that can be judged usually loses, in one question."""
    rows = {row.code: row for row in StageExpectation.objects.order_by("version")}
    return {
        key: Expectation(key, stage.loss_frac, stage.sd_frac, 0) if key not in rows or rows[key].retired
        else Expectation(key, float(rows[key].loss_frac), float(rows[key].sd_frac), rows[key].lot_count)
        for key, stage in STAGES.items() if stage.judged
    }


def signed_return(flow: Flow) -> Weighing:
    """Return left-over that went back on the shelf: a line that takes away from what was issued."""
    line = weighing(flow)
    return replace(line, side=Side.LOST, mass_mg=-line.mass_mg)


def counted_line(like: Weighing, mass_mg: int, reading_count: int, scale: Scale | None) -> Weighing:
    """Return the counted mass of a shelf as a line out, moisture and sample of the lot."""
    return replace(like, side=Side.OUT, label="counted", mass_mg=mass_mg, reading_count=reading_count, scale=scale_data(scale))


def shelf_lines(
    opening: Sequence[Flow], draws: Sequence[Flow], returned: Sequence[Flow], counted: tuple[int, int, Scale | None]
) -> list[Weighing]:
    """Return the balance of a shelf: what was put on it, what was issued, what came back, what was counted."""
    start = weighings(opening)
    put = [replace(line, side=Side.IN) for line in start]
    issued = [replace(line, side=Side.OUT) for line in weighings(draws)]
    back = [signed_return(f) for f in returned]
    return [*put, *issued, *back, counted_line(start[0], *counted)]
