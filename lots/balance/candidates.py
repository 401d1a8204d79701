"""Everything that could explain one balance: slips of its entries, lines of another balance, leaf that nobody booked."""

from __future__ import annotations

import math
import statistics
from collections import Counter, defaultdict
from collections.abc import Iterable, Mapping, Sequence
from itertools import pairwise
from types import MappingProxyType

from lots.balance.slips import SlipKind, slips
from lots.balance.suspect_records import Book, Explanation, Node, Reading, Touch

#: How usual each kind is beside the others (common practice, no source; single digits and swaps as studies of typing have them).
USUAL = MappingProxyType({
    SlipKind.PLACE: 0.10, SlipKind.UNIT: 0.05, SlipKind.SWAPPED: 0.15, SlipKind.DOUBLED: 0.05, SlipKind.DROPPED: 0.05,
    SlipKind.MISREAD: 0.20, SlipKind.TARE: 0.05, SlipKind.OTHER_LOT: 0.10, SlipKind.CARRIED: 0.10, SlipKind.NOT_WEIGHED: 0.08,
    SlipKind.REWORK: 0.05,
})
#: How usual it is that leaf is really gone, or really too much, somewhere between nothing and half of what went in.
UNEXPLAINED, UNEXPLAINED_SHARE = 0.05, 0.5
#: So many readings of one role say how large such a reading usually is, and they scatter by at least so much (as a logarithm).
SIZES_FROM, SIZE_SCATTER_LEAST = 5, 0.05
#: Leaf that stays behind in a machine is less than so much, in mg dry.
LEFT_BEHIND_MOST_MG = 2_000_000


def candidates(book: Book, nodes: Sequence[Node], worst: int) -> list[Explanation]:
    """Everything that could explain the balance at position ``worst``."""
    from_entries = [*_value_slips(book, nodes, worst), *_moves(book, nodes, worst)]
    from_outside = [*_carried(nodes, worst), *_not_weighed(book, nodes, worst), *_rework(book, nodes, worst)]
    return [*from_entries, *from_outside, _gone(nodes, worst)]


def _gain(nodes: Sequence[Node], closes: Mapping[int, float]) -> float:
    """Half the fall of the sum of squared distances."""
    return 0.5 * math.fsum(nodes[i].z ** 2 - z**2 for i, z in closes.items())


def _explanation(
    nodes: Sequence[Node], kind: SlipKind | None, prior: float, closes: Mapping[int, float], *, key: str = "", lot: str = "",
    read_mg: int | None = None, proposed_mg: int | None = None, estimate: tuple[float, float],
) -> Explanation:
    weight = math.log(prior) + _gain(nodes, closes)
    return Explanation(kind, key, lot, read_mg, proposed_mg, *estimate, MappingProxyType(dict(closes)), weight)


def asked_for(nodes: Sequence[Node], touches: Iterable[Touch]) -> tuple[float, float]:
    """The change of a reading in mg that its balances ask for, by least squares, and its standard uncertainty."""
    weight = pull = 0.0
    for touch in touches:
        node = nodes[touch.node]
        slope = touch.dry_frac - node.loss_frac * touch.input_frac
        weight += slope**2 / node.spread_mg**2
        pull -= slope * node.residual_mg / node.spread_mg**2
    return (pull / weight, weight**-0.5) if weight > 0 else (0.0, math.inf)


def usual_sizes(readings: Iterable[Reading]) -> dict[str, tuple[float, float]]:
    """Middle and scatter of the logarithm of the mass of each role's readings, where there are enough of them."""
    logs: dict[str, list[float]] = defaultdict(list)
    for reading in readings:
        if reading.mass_mg > 0:
            logs[reading.role].append(math.log(reading.mass_mg))
    return {role: _middle(found) for role, found in logs.items() if len(found) >= SIZES_FROM}


def _middle(logs: Sequence[float]) -> tuple[float, float]:
    middle = statistics.median(logs)
    return middle, max(1.4826 * statistics.median(abs(x - middle) for x in logs), SIZE_SCATTER_LEAST)


def _more_usual(size: tuple[float, float] | None, read_mg: int, meant_mg: int) -> float:
    """How much more usual the figure that may have been meant is than the one that was typed, as a logarithm.

    Student's distribution with three degrees of freedom: one odd lot is possible, a tub of 90 kg is not likely.
    """
    if size is None or read_mg <= 0:
        return 0.0
    near, far = ((math.log(mass) - size[0]) / size[1] for mass in (meant_mg, read_mg))
    return 2 * (math.log1p(far**2 / 3) - math.log1p(near**2 / 3))


def _value_slips(book: Book, nodes: Sequence[Node], worst: int) -> list[Explanation]:
    near = [(r, slips(r.mass_mg, r.division_mg, book.tares_mg)) for r in book.readings if any(t.node == worst for t in r.touches)]
    choices = Counter(slip.kind for _, offered in near for slip in offered)
    sizes = usual_sizes(book.readings)
    found = []
    for reading, offered in near:
        asked, u_asked = asked_for(nodes, reading.touches)
        estimate = (reading.mass_mg + asked, u_asked)
        for slip in offered:
            change = slip.mass_mg - reading.mass_mg
            closes = {t.node: nodes[t.node].z_if(t.dry_frac * change, t.input_frac * change) for t in reading.touches}
            prior = USUAL[slip.kind] / choices[slip.kind] * math.exp(_more_usual(sizes.get(reading.role), reading.mass_mg, slip.mass_mg))
            found.append(_explanation(
                nodes, slip.kind, prior, closes, key=reading.key, lot=reading.lot, read_mg=reading.mass_mg, proposed_mg=slip.mass_mg,
                estimate=estimate,
            ))
    return found


def _moves(book: Book, nodes: Sequence[Node], worst: int) -> list[Explanation]:
    """A line that belongs to the other balance of the same stage, on the same side."""
    others = [i for i, n in enumerate(nodes) if i != worst and n.stage == nodes[worst].stage and n.z * nodes[worst].z < 0 and abs(n.z) > 1]
    pairs = [(r, t, a, b) for i in others for a, b in ((worst, i), (i, worst)) for r in book.readings for t in r.touches if t.node == a]
    found = []
    for reading, touch, giver, taker in pairs:
        change = (touch.dry_frac * reading.mass_mg, touch.input_frac * reading.mass_mg)
        closes = {giver: nodes[giver].z_if(-change[0], -change[1]), taker: nodes[taker].z_if(*change)}
        moved = asked_for(nodes, (Touch(giver, -touch.dry_frac, -touch.input_frac), Touch(taker, touch.dry_frac, touch.input_frac)))
        found.append(_explanation(
            nodes, SlipKind.OTHER_LOT, USUAL[SlipKind.OTHER_LOT] / len(pairs), closes, key=reading.key, lot=reading.lot,
            read_mg=reading.mass_mg, proposed_mg=reading.mass_mg, estimate=moved,
        ))
    return found


def _neighbours(nodes: Sequence[Node], worst: int) -> list[tuple[int, int]]:
    """The balance with the one before and the one after it on the same machine."""
    same = [i for i, n in enumerate(nodes) if n.machine and (n.machine, n.stage) == (nodes[worst].machine, nodes[worst].stage)]
    return [(a, b) for a, b in pairwise(same) if worst in {a, b}]


def _carried(nodes: Sequence[Node], worst: int) -> list[Explanation]:
    found = []
    pairs = _neighbours(nodes, worst)
    for first, then in pairs:
        mass, u_mass = asked_for(nodes, (Touch(first, -1.0, 0.0), Touch(then, 1.0, 1.0)))
        if not 0 < mass <= LEFT_BEHIND_MOST_MG:
            continue
        closes = {first: nodes[first].z_if(-mass, 0.0), then: nodes[then].z_if(mass, mass)}
        prior = USUAL[SlipKind.CARRIED] / len(pairs) * min(1.0, u_mass * math.sqrt(2 * math.pi) / LEFT_BEHIND_MOST_MG)
        found.append(_explanation(nodes, SlipKind.CARRIED, prior, closes, estimate=(mass, u_mass)))
    return found


def _not_weighed(book: Book, nodes: Sequence[Node], worst: int) -> list[Explanation]:
    node = nodes[worst]
    usual = [u for u in book.usual_shares if u.stage == node.stage and u.role not in node.roles]
    found = []
    for share in usual:
        mass, u_mass = share.share_frac * node.input_mg, share.sd_frac * node.input_mg
        wide = math.hypot(node.spread_mg, u_mass)
        closes = {worst: (node.residual_mg - mass) / wide}
        prior = USUAL[SlipKind.NOT_WEIGHED] / len(usual) * node.spread_mg / wide
        found.append(_explanation(
            nodes, SlipKind.NOT_WEIGHED, prior, closes, lot=share.role, estimate=(node.residual_mg, node.spread_mg),
        ))
    return found


def _rework(book: Book, nodes: Sequence[Node], worst: int) -> list[Explanation]:
    node = nodes[worst]
    if node.stage not in {"milling", "sieving"} or node.residual_mg >= 0:
        return []
    found = []
    for lot in book.rework:
        asked, u_asked = asked_for(nodes, (Touch(worst, lot.dry_frac, lot.dry_frac),))
        poured = min(asked, float(lot.mass_mg))
        closes = {worst: node.z_if(poured * lot.dry_frac, poured * lot.dry_frac)}
        prior = USUAL[SlipKind.REWORK] / len(book.rework) * min(1.0, u_asked * math.sqrt(2 * math.pi) / lot.mass_mg)
        estimate = (asked * lot.dry_frac, u_asked * lot.dry_frac)
        found.append(_explanation(nodes, SlipKind.REWORK, prior, closes, lot=lot.lot, estimate=estimate))
    return found


def _gone(nodes: Sequence[Node], worst: int) -> Explanation:
    """Nobody slipped: the leaf is gone, or more is there."""
    node = nodes[worst]
    room = max(UNEXPLAINED_SHARE * abs(node.input_mg), node.spread_mg)
    prior = UNEXPLAINED * min(1.0, node.spread_mg * math.sqrt(2 * math.pi) / room)
    return _explanation(nodes, None, prior, {worst: 0.0}, estimate=(node.residual_mg, node.spread_mg))
