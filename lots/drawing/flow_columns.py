"""Where the bars of the wide flow drawing stand: each stretch gets the room that its branches and words need."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import accumulate, pairwise

from lots.drawing.flow_slices import Plan, Slice, Station, Stroke
from lots.drawing.labels import natural_width
from lots.drawing.metrics import longest, wrap

NAME_SIZE = 19.0
#: Narrowest column of words before words are cut (drawing units).
NARROW = 96.0
GAP = 10.0
#: A plain branch at least this wide carries its words below its foot instead of beside it.
BROAD = 36.0
#: A ribbon lower than this may not hold its words, which then stand in a band above.
LOW = 80.0


@dataclass(frozen=True, slots=True)
class Columns:
    """The places of the bars and the width of the drawing, in drawing units."""

    bars: tuple[float, ...]
    width: float


def names(station: Station) -> tuple[str, ...]:
    """The stage's name in at most two lines."""
    return wrap(station.name, 132, NAME_SIZE, limit=2)


def half_name(station: Station) -> float:
    """Half the width of the stage's name and note, whichever is wider."""
    return max(longest(names(station), NAME_SIZE), longest(wrap(station.note, 120, 13, 2), 13)) / 2


def entry_reach(station: Station) -> float:
    """How far left of its bar the outermost entering stub stands (0: nothing enters)."""
    if not station.entering:
        return 0.0
    return max(44.0, half_name(station) + 14) + sum(s.drawn_px + GAP for s in station.entering)


def is_broad(piece: Slice) -> bool:
    """Whether the words of a branch stand below its foot."""
    return piece.stroke is Stroke.RIBBON and piece.drawn_px >= BROAD


def starts(station: Station) -> tuple[float, ...]:
    """Left sides of the branches, counted from the bar, lowest slice first."""
    first = 34.0 if any(s.drawn_px >= 8 for s in station.leaving) else 20.0
    steps = [s.drawn_px + GAP for s in station.leaving]
    return tuple(first + past for past in accumulate(steps[:-1], initial=0.0)) if steps else ()


def run(station: Station) -> float:
    """How far right of the bar the branches of a station reach."""
    return max((x + s.drawn_px for x, s in zip(starts(station), station.leaving, strict=True)), default=0.0)


def _joint(piece: Slice | None) -> float:
    return piece.drawn_px + 40 if piece else 0.0


def _words(pieces: Sequence[Slice], most: float) -> float:
    return max((natural_width(p, most) + 26 for p in pieces), default=30.0)


def _beside(station: Station, most: float) -> float:
    """Room for branches with their words, where nothing to the right may lend any."""
    feet = zip(starts(station), station.leaving, strict=True)
    return max((x + _side_by_side(s, natural_width(s, most)) + 4 for x, s in feet), default=0.0)


def _side_by_side(piece: Slice, words: float) -> float:
    """Width of a branch with its words: a broad one carries them below its foot, any other beside it."""
    return max(piece.drawn_px, words) if is_broad(piece) else piece.drawn_px + 10 + words


def _lane_reach(pieces: Sequence[Slice], station: Station) -> float:
    """Room lost to stubs that enter at ``station``, where words of thin ribbons stand in the band that these come through."""
    return entry_reach(station) if any(p.true_px < LOW for p in pieces) else 0.0


def _first(plan: Plan, most: float) -> float:
    head = plan.stations[0]
    source = (plan.source,) if plan.source else ()
    words = max((natural_width(p, max(most, 150.0)) + 24 for p in source), default=0.0) + _lane_reach(source, head)
    return max(words, half_name(head) + 4, entry_reach(head) + 6)


def _between(left: Station, right: Station, most: float) -> float:
    joints = _joint(left.waiting) + _joint(right.stock)
    clear = half_name(left) + max(half_name(right), entry_reach(right)) + 18
    feet = run(left) + 14 if most <= NARROW else _beside(left, most) + 10
    return max(feet + joints, _words(left.mains, most) + max(joints, _lane_reach(left.mains, right)), clear)


def _last(station: Station, most: float) -> float:
    return max(_beside(station, most), _words(station.mains, most), half_name(station) + 2)


def _stretches(plan: Plan, most: float) -> list[float]:
    stations = plan.stations
    middle = [_between(a, b, most) for a, b in pairwise(stations)]
    return [_first(plan, most), *middle, _last(stations[-1], most)]


def _fitted(needs: list[float], wants: list[float], total: float) -> list[float]:
    """Stretches that fill ``total`` where they can: between what they need and what they want, the rest shared out."""
    spare, wish = total - sum(needs), sum(wants) - sum(needs)
    if spare <= 0:
        return needs
    part = min(1.0, spare / wish) if wish > 0 else 1.0
    fitted = [n + (w - n) * part for n, w in zip(needs, wants, strict=True)]
    grow = max(0.0, total - sum(fitted)) / sum(fitted)
    return [f * (1 + grow) for f in fitted]


def columns(plan: Plan, width: float) -> Columns:
    """Places of the bars for a drawing ``width`` units wide; it grows when the season needs more."""
    if not plan.stations:
        return Columns((), width)
    stretches = _fitted(_stretches(plan, NARROW), _stretches(plan, 200.0), width)
    edges = list(accumulate(stretches))
    return Columns(tuple(edges[:-1]), edges[-1])


def least_width(plan: Plan) -> float:
    """The narrowest wide drawing that a plan can have, in drawing units."""
    return sum(_stretches(plan, NARROW)) if plan.stations else 0.0
