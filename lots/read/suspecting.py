"""What does not add up as the search for slips needs it: every balance a node, every entry of a scale a reading that touches it."""

from __future__ import annotations

import statistics
from collections import defaultdict
from collections.abc import Iterable, Iterator, Mapping, Sequence
from copy import copy
from dataclasses import dataclass, replace

from lots.balance.closure import LOOK_BEYOND
from lots.balance.suspect_records import Book, Finding, Node, Reading, Rework, Touch, UsualShare
from lots.balance.suspects import explain
from lots.models import Flow, Stock
from lots.read.balances import BalanceNode, flows_by_run, flows_by_step, standing_counts
from lots.read.shelves import shelf_of, with_shelves
from lots.trade.materials import MATERIALS
from lots.trade.weighing import Side

#: Fewer balances than this with a by-product say nothing about what is usual.
USUAL_FROM = 3
SIGNS = {Flow.Kind.IN: 1.0, Flow.Kind.OUT: -1.0, Flow.Kind.LOST: -1.0}
Line = tuple[Flow, float, float]


@dataclass(frozen=True, slots=True)
class Suspicion:
    """A finding with the balances that it speaks of, the one that is farthest off first."""

    nodes: tuple[BalanceNode, ...]
    finding: Finding
    by_position: tuple[BalanceNode, ...]


def suspicions(nodes: Sequence[BalanceNode]) -> list[Suspicion]:
    """Return what is off among some balances with what would explain it. Balances that cannot be judged are left out."""
    judged = tuple(sorted((n for n in nodes if n.balance.z is not None), key=lambda n: n.step))
    if all(abs(n.balance.z or 0.0) <= LOOK_BEYOND for n in judged):
        return []
    found = explain(book_of(judged))
    return [Suspicion(tuple(judged[i] for i in f.nodes), f, judged) for f in found]


def book_of(judged: Sequence[BalanceNode]) -> Book:
    """Return balances in order of record with everything that was read for them."""
    near = around_what_is_off(judged)
    touched = tuple(r for r in readings(judged, near) if r.division_mg)
    return Book(tuple(map(node_of, judged)), touched, tuple(rework()), tuple(usual_shares(judged)))


def around_what_is_off(judged: Sequence[BalanceNode]) -> list[BalanceNode]:
    """Return the balances that are off and those that share a lot with one of them: only their lines are read."""
    off = [n for n in judged if abs(n.balance.z or 0.0) > LOOK_BEYOND]
    lots = {lot for n in off for lot in (*n.lots_in, *n.lots_out)}
    return [n for n in judged if lots.intersection((*n.lots_in, *n.lots_out))]


def node_of(node: BalanceNode) -> Node:
    """Return one balance as a node."""
    each = node.balance
    share = each.input_mg or 1.0
    roles = frozenset(line.label for line in node.lines)
    return Node(node.step, node.stage, node.machine, each.d_mg, each.u_mg, each.input_mg, each.e_mg / share, each.scatter_mg / share, roles)


def readings(judged: Sequence[BalanceNode], near: Sequence[BalanceNode]) -> Iterator[Reading]:
    """Yield every reading of some balances once, with all of them that it touches."""
    made: dict[str, Reading] = {}
    place = {n.step: i for i, n in enumerate(judged)}
    for step, lines in lines_by_node(near):
        position = place[step]
        for flow, sign, is_input in lines:
            dry_frac = 1.0 - float(flow.moisture_frac or 0)
            touch = Touch(position, sign * dry_frac, is_input * dry_frac)
            key = key_of(flow)
            first = made.get(key)
            if first is None:
                made[key] = reading_of(flow, key, touch)
            elif position not in {t.node for t in first.touches}:
                made[key] = replace(first, touches=(*first.touches, touch))
    yield from made.values()


def reading_of(flow: Flow, key: str, touch: Touch) -> Reading:
    """Return a line as a reading."""
    division = flow.scale.division_mg if flow.scale is not None else 0
    return Reading(key, str(flow.lot) if flow.lot_id else "", flow.role, flow.mass_mg, division, (touch,))


def key_of(flow: Flow) -> str:
    """Return what names a reading: a lot drawn whole was not weighed again, its opening weighing stands."""
    if flow.pk < 0:
        return f"count {-flow.pk}"
    return f"line {getattr(flow, 'opened_by', None) or flow.pk}"


def lines_by_node(judged: Sequence[BalanceNode]) -> Iterator[tuple[int, list[Line]]]:
    """Yield the step of each balance with its lines: the flow, its sign in D, and 1 where it is input."""
    runs = flows_by_run([n.step for n in judged if n.stage == "milling"])
    steps = flows_by_step([n.step for n in judged if n.stage not in {"milling", "counting"}])
    whole, shelves = [*by_step(runs), *by_step(steps)], list(shelf_lines(judged))
    mark_whole_draws([*(f for _, flows in whole for f in flows), *(f for _, lines in shelves for f, _, _ in lines)])
    for step, flows in whole:
        yield step, [(f, SIGNS[Flow.Kind(f.kind)], float(f.kind == Flow.Kind.IN)) for f in together(flows)]
    for step, lines in shelves:
        yield step, lines


def shelf_lines(judged: Sequence[BalanceNode]) -> Iterator[tuple[int, list[Line]]]:
    """Yield the lines of stock counts: what was put on the shelf, issued, brought back, and counted."""
    counts = standing_counts().filter(pk__in=[n.step for n in judged if n.stage == "counting"]).select_related("lot", "step", "scale")
    for count, *around in with_shelves(list(counts), standing_counts()):
        shelf = shelf_of(count, *around)
        put: list[Line] = [(f, 1.0, 1.0) for f in shelf.opening] if shelf.earlier is None else []
        counted = copy(shelf.opening[0])
        counted.pk, counted.role, counted.mass_mg = -count.pk, "counted", count.counted_mg
        counted.reading_count, counted.scale = count.reading_count, count.scale
        yield count.pk, [*put, *((f, -1.0, 0.0) for f in shelf.issued), *((f, 1.0, 0.0) for f in shelf.returned), (counted, -1.0, 0.0)]


def by_step(flows: Mapping[int, list[Flow]]) -> Iterable[tuple[int, list[Flow]]]:
    """Return lines by step without differences, which belong to the shelf."""
    return [(step, [f for f in mine if f.kind != Flow.Kind.DIFFERENCE]) for step, mine in flows.items()]


def together(flows: Sequence[Flow]) -> list[Flow]:
    """Return the lines of one balance, a correction added to the line that it corrects."""
    found: dict[tuple[object, ...], Flow] = {}
    for flow in flows:
        corrected = next((f for f in found.values() if flow.step.corrects_id == f.step_id and same_line(f, flow)), None)
        if corrected is None:
            found[flow.pk,] = flow
        else:
            corrected.mass_mg += flow.mass_mg
    return list(found.values())


def same_line(first: Flow, other: Flow) -> bool:
    """Tell whether a correction speaks of a line."""
    return (first.kind, first.role, first.lot_id) == (other.kind, other.role, other.lot_id)


def mark_whole_draws(flows: Sequence[Flow]) -> None:
    """Note on each draw that took a lot as it was weighed when it was opened, which line that was."""
    lots = {f.lot_id for f in flows if f.kind == Flow.Kind.IN}
    opening = {f.lot_id: f for f in Flow.objects.filter(lot__in=lots, kind=Flow.Kind.OUT).exclude(step__stage="correcting")}
    for flow in flows:
        first = opening.get(flow.lot_id) if flow.kind == Flow.Kind.IN else None
        if first is not None and (first.mass_mg, first.scale_id, first.reading_count) == (flow.mass_mg, flow.scale_id, flow.reading_count):
            flow.opened_by = first.pk  # type: ignore[attr-defined]


def rework() -> Iterator[Rework]:
    """Yield the oversize that stands on the shelf, and may have been poured back."""
    standing = Stock.objects.filter(lot__material="oversize", book_mg__gt=0, emptied=False).select_related("lot").order_by("lot")
    wet = dict(Flow.objects.filter(lot__in=[s.lot_id for s in standing], kind=Flow.Kind.OUT).values_list("lot_id", "moisture_frac"))
    for stock in standing:
        yield Rework(str(stock.lot), stock.book_mg, 1.0 - float(wet.get(stock.lot_id) or 0))


def usual_shares(judged: Sequence[BalanceNode]) -> Iterator[UsualShare]:
    """Yield what by-products usually are of the dry input of their stage, from the balances themselves: the median, and its scatter."""
    shares: dict[tuple[str, str], list[float]] = defaultdict(list)
    for node in judged:
        for line in node.lines:
            material = MATERIALS.get(line.label)
            if line.side is Side.OUT and material is not None and material.by_product and node.balance.input_mg > 0:
                shares[node.stage, line.label].append(line.mass_mg * (1 - (line.moisture_frac or 0)) / node.balance.input_mg)
    for (stage, role), found in sorted(shares.items()):
        if len(found) >= USUAL_FROM:
            middle = statistics.median(found)
            spread = 1.4826 * statistics.median(abs(share - middle) for share in found)
            yield UsualShare(stage, role, middle, max(spread, 0.1 * middle))
