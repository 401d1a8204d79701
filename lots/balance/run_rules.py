"""Rules about runs of points on a control chart, in named sets."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from types import MappingProxyType
from typing import TypeAlias

import numpy as np
from numpy.typing import NDArray

Array = NDArray[np.float64]
Flags = NDArray[np.bool_]
Test: TypeAlias = Callable[[Array], Flags]


@dataclass(frozen=True, slots=True)
class RuleBreach:
    """A rule that is broken at ``position`` (its last point); ``positions`` are the points that break it."""

    rule: str
    position: int
    positions: tuple[int, ...]



def _some_beyond(far: float, needed: int, of: int) -> Test:
    """``needed`` of ``of`` in a row beyond ``far`` standard deviations on one side, the newest among them."""

    def broken(z: Array) -> Flags:
        above, below = z > far, z < -far
        return (above & (_windowed(above, of) >= needed)) | (below & (_windowed(below, of) >= needed))

    return broken


def _windowed(flags: Flags, of: int) -> NDArray[np.int_]:
    """How many of the newest ``of`` flags stand, at each point."""
    sums = np.concatenate([[0], np.cumsum(flags)])
    ends = np.arange(1, len(flags) + 1)
    counted: NDArray[np.int_] = sums[ends] - sums[np.maximum(ends - of, 0)]
    return counted


def _all_in_a_row(test: Test, of: int) -> Test:
    """``of`` points in a row that all pass a test."""
    return lambda z: _windowed(test(z), of) >= of


def _rising_or_falling(of: int) -> Test:
    """``of`` points in a row, each above (or each below) the one before."""

    def broken(z: Array) -> Flags:
        steps = np.concatenate([[0.0], np.diff(z)])
        return (_windowed(steps > 0, of - 1) >= of - 1) | (_windowed(steps < 0, of - 1) >= of - 1)

    return broken


def _alternating(of: int) -> Test:
    """``of`` points in a row that go up and down in turn."""

    def broken(z: Array) -> Flags:
        steps = np.concatenate([[0.0], np.diff(z)])
        turns = np.concatenate([[False], steps[1:] * steps[:-1] < 0])
        return _windowed(turns, of - 2) >= of - 2

    return broken


def _one_side(of: int) -> tuple[int, Test]:
    above, below = _all_in_a_row(lambda z: z > 0, of), _all_in_a_row(lambda z: z < 0, of)
    return of, lambda z: above(z) | below(z)


_BEYOND_3 = (1, _some_beyond(3.0, 1, 1))
_TWO_OF_THREE = (3, _some_beyond(2.0, 2, 3))
_FOUR_OF_FIVE = (5, _some_beyond(1.0, 4, 5))
Rule: TypeAlias = tuple[int, Test]

#: Named sets of rules: name of the rule → how many points it looks at, and where it is broken (values in standard deviations
#: from the centre). Western Electric 1956; Nelson 1984; ISO 7870-2:2013; all from memory.
RULE_SETS: MappingProxyType[str, MappingProxyType[str, Rule]] = MappingProxyType({
    "western_electric": MappingProxyType({
        "1 beyond 3 s": _BEYOND_3, "2 of 3 beyond 2 s": _TWO_OF_THREE, "4 of 5 beyond 1 s": _FOUR_OF_FIVE, "8 on one side": _one_side(8),
    }),
    "nelson": MappingProxyType({
        "1 beyond 3 s": _BEYOND_3, "9 on one side": _one_side(9), "6 rising or falling": (6, _rising_or_falling(6)),
        "14 up and down": (14, _alternating(14)), "2 of 3 beyond 2 s": _TWO_OF_THREE, "4 of 5 beyond 1 s": _FOUR_OF_FIVE,
        "15 within 1 s": (15, _all_in_a_row(lambda z: np.abs(z) < 1, 15)), "8 beyond 1 s": (8, _all_in_a_row(lambda z: np.abs(z) > 1, 8)),
    }),
    "iso_7870_2": MappingProxyType({
        "1 beyond 3 s": _BEYOND_3, "7 on one side": _one_side(7), "7 rising or falling": (7, _rising_or_falling(7)),
    }),
})


def run_rule_breaches(*, values: Sequence[float], center: float, sigma: float, rules: str = "western_electric") -> tuple[RuleBreach, ...]:
    """Every point at which a rule of a named set is broken, in order of time, then of the set.

    ``center`` and ``sigma`` in the unit of the values; with ``sigma`` 0 nothing can be judged and nothing is broken. With all four
    Western Electric rules a chart in control gives an alarm every 92 points on average (Champ and Woodall 1987). Raises
    ValueError for a set that is not known.
    """
    if rules not in RULE_SETS:
        raise ValueError(f"There is no set of rules {rules!r}; there are {', '.join(RULE_SETS)}.")
    if not sigma > 0:
        return ()
    z = (np.asarray(values, dtype=float) - center) / sigma
    breaches = [
        RuleBreach(name, int(at), tuple(range(max(0, int(at) - of + 1), int(at) + 1)))
        for name, (of, broken) in RULE_SETS[rules].items() for at in np.flatnonzero(broken(z))
    ]
    return tuple(sorted(breaches, key=lambda breach: breach.position))
