"""How much leaf went from one job into the next on the same machine, estimated from the two balances.

Leaf that stays behind is missing from the earlier job and too much in the later one, so both residuals measure the
same mass with opposite signs. The least-squares estimate weighs each by its own uncertainty.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

from lots.genealogy.graph import GenealogyError


@dataclass(frozen=True, slots=True)
class CarryOver:
    """Dry mass ``carried_mg`` that seems to have gone over, with its standard uncertainty ``u_mg``.

    ``t`` is the squared estimate over its variance: the larger, the less it can be chance. ``left_open_mg`` is the sum
    of the two residuals, which carry-over alone would leave at zero within ``u_left_open_mg``.
    """

    carried_mg: float
    u_mg: float
    t: float
    left_open_mg: float
    u_left_open_mg: float

    @property
    def explains_both(self) -> bool:
        """Mass went forward, and the two residuals cancel within two standard uncertainties."""
        return self.carried_mg > 0 and abs(self.left_open_mg) <= 2 * self.u_left_open_mg


def carry_over(r_earlier_mg: float, u_earlier_mg: float, r_later_mg: float, u_later_mg: float) -> CarryOver:
    """Estimate from the residuals r = D - E (mg dry) of two consecutive jobs on one machine and their uncertainties.

    b = (rA/uA^2 - rB/uB^2) / (1/uA^2 + 1/uB^2), u(b) = (1/uA^2 + 1/uB^2)^(-1/2), T = b^2 / u(b)^2: weighted least
    squares of rA = b and rB = -b. A negative b means that mass went backwards, which is no carry-over.
    Raises GenealogyError for an uncertainty that is not above zero.
    """
    if not (u_earlier_mg > 0 and u_later_mg > 0):
        raise GenealogyError("Carry-over cannot be estimated: a balance has no uncertainty.")
    weight_earlier, weight_later = u_earlier_mg**-2, u_later_mg**-2
    weight = weight_earlier + weight_later
    carried = (r_earlier_mg * weight_earlier - r_later_mg * weight_later) / weight
    return CarryOver(
        carried_mg=carried,
        u_mg=weight**-0.5,
        t=carried**2 * weight,
        left_open_mg=r_earlier_mg + r_later_mg,
        u_left_open_mg=math.hypot(u_earlier_mg, u_later_mg),
    )


def share_range(carry: CarryOver, lot_dry_mg: float, k: float = 2.0) -> tuple[float, float, float]:
    """Lower, best and upper share of the carried leaf in a lot of ``lot_dry_mg``, at ``k`` standard uncertainties.

    Cut to 0 to 1. Raises GenealogyError for a lot of no mass.
    """
    if not lot_dry_mg > 0:
        raise GenealogyError("The lot has no dry mass, so nothing can be a share of it. Enter its mass first.")
    spread = k * carry.u_mg
    lower, best, upper = (
        min(max((carry.carried_mg + offset) / lot_dry_mg, 0.0), 1.0) for offset in (-spread, 0.0, spread)
    )
    return lower, best, upper
