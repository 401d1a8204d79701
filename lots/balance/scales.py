"""What a reading of a scale is worth: permissible error by class (OIML R 76) and standard uncertainty."""

from __future__ import annotations

import math
from types import MappingProxyType

from lots.trade.language import Refused
from lots.trade.units import number_text
from lots.trade.weighing import ScaleData

#: OIML R 76-1 table 6, initial verification: loads in verification intervals e up to which the error may be 0.5, 1.0
#: and 1.5 e. Class I has no upper end.
PERMISSIBLE_STEPS = MappingProxyType({
    "I": (50_000, 200_000, math.inf),
    "II": (5_000, 20_000, 100_000),
    "III": (500, 2_000, 10_000),
    "IIII": (50, 200, 1_000),
})
_ERRORS = (0.5, 1.0, 1.5)
#: So many intervals beyond its capacity a scale may still show (OIML R 76-1, 4.2.3; from memory).
OVER_CAPACITY_INTERVALS = 9


def _over_range(load_mg: float, limit_mg: float, scale: ScaleData) -> Refused:
    load, limit = number_text(load_mg / 1e6, 3), number_text(limit_mg / 1e6, 3)
    return Refused(
        f"{load} kg is more than scale {scale.code} can weigh ({limit} kg). Look at the reading and the scale again.",
        f"{load} kg は秤 {scale.code} の能力（{limit} kg）を超える。読みと秤を見直す。",
    )


def permissible_error_mg(load_mg: float, scale: ScaleData) -> float:
    """Maximum permissible error in mg, at verification, of ``scale`` at ``load_mg`` (its size counts, not its sign).

    OIML R 76-1 table 6; in service twice as much is tolerated. The load should include the vessel; where only the net
    mass is known the error is taken at the net mass. Raises :class:`Refused` beyond the capacity or the range of the
    class, and KeyError for a class that R 76 does not know.
    """
    load_mg = abs(load_mg)
    limits_mg = [step * scale.interval_mg for step in PERMISSIBLE_STEPS[scale.accuracy_class]]
    most_mg = min(scale.capacity_mg + OVER_CAPACITY_INTERVALS * scale.interval_mg, limits_mg[-1])
    if load_mg > most_mg:
        raise _over_range(load_mg, min(scale.capacity_mg, limits_mg[-1]), scale)
    return next(e * scale.interval_mg for e, limit in zip(_ERRORS, limits_mg, strict=True) if load_mg <= limit)


def u_error_mg(load_mg: float, scale: ScaleData) -> float:
    """Standard uncertainty in mg from the permissible error alone, rectangular: mpe/√3 (JCGM 100 4.3.7)."""
    return permissible_error_mg(load_mg, scale) / math.sqrt(3)


def u_display_mg(scale: ScaleData, *, display_count: int = 1) -> float:
    """Standard uncertainty in mg of one reading without the permissible error: division and repeatability.

    √(n d²/12 + s_r²) with n = 1 for a tared reading and n = 2 for gross minus a tare that was read off as well.
    """
    return math.sqrt(display_count * scale.division_mg**2 / 12 + scale.u_repeat_mg**2)


def u_reading_mg(load_mg: float, scale: ScaleData, *, display_count: int = 1) -> float:
    """Standard uncertainty in mg of one net weighing of ``load_mg``: √(n d²/12 + s_r² + mpe²/3).

    The error of R 76 is found after the rounding of the display is taken out, so the division is added and not counted
    twice. Raises :class:`Refused` beyond the range of the scale.
    """
    return math.hypot(u_display_mg(scale, display_count=display_count), u_error_mg(load_mg, scale))
