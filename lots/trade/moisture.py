"""Moisture on the wet and on the dry basis, and what it does to a mass.

Wet basis: kg water per kg of everything. Dry basis: kg water per kg dry matter. The trade says both ("400" of fresh
leaf is per 100 dry), so no number travels without its basis: inside the book it is always the wet-basis fraction.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from decimal import Decimal
from enum import StrEnum

from lots.trade.language import Refused


class Basis(StrEnum):
    """What a typed moisture is per 100 of."""

    WET = "wet"
    DRY = "dry"


#: Wet-basis fractions are kept to this step in the book: a thousandth of the best measurement's uncertainty.
FRAC_STEP = Decimal("0.000001")


@dataclass(frozen=True, slots=True)
class DriedMass:
    """A mass after drying, in mg, with its standard uncertainty in mg."""

    mass_mg: float
    u_mass_mg: float


def _wet_refusal(wet_frac: float | Decimal) -> Refused:
    shown = f"{float(wet_frac) * 100:.4g}"
    if math.isfinite(wet_frac) and wet_frac >= 1:
        return Refused(
            f"A moisture of {shown} per 100 wet cannot be: nothing would be left but water. Did you mean per 100 dry?",
            f"湿量基準で水分 {shown} はあり得ない。水だけになる。乾量基準の値ではないか。",
        )
    return Refused(
        f"A moisture of {shown} per 100 cannot be: it lies between 0 and 100 per 100 wet. Measure it again.",
        f"水分 {shown} はあり得ない。湿量基準では 0 以上 100 未満。測り直す。",
    )


def checked_wet_frac(wet_frac: float) -> float:
    """``wet_frac`` itself (kg water per kg wet) if it lies in [0, 1); raises :class:`Refused` otherwise."""
    if 0 <= wet_frac < 1:
        return wet_frac
    raise _wet_refusal(wet_frac)


def dry_from_wet(wet_frac: float) -> float:
    """Moisture in kg per kg dry from kg per kg wet: d = w/(1 - w). Raises :class:`Refused` outside [0, 1)."""
    return checked_wet_frac(wet_frac) / (1 - wet_frac)


def wet_from_dry(dry_frac: float) -> float:
    """Moisture in kg per kg wet from kg per kg dry: w = d/(1 + d). Raises :class:`Refused` below 0."""
    if math.isfinite(dry_frac) and dry_frac >= 0:
        return dry_frac / (1 + dry_frac)
    shown = f"{dry_frac * 100:.4g}"
    raise Refused(f"A moisture of {shown} per 100 dry cannot be: it is 0 or more. Measure it again.",
                  f"乾量基準で水分 {shown} はあり得ない。0 以上のはず。測り直す。")


def dry_mass_mg(mass_mg: float, wet_frac: float) -> float:
    """Dry matter in mg in ``mass_mg`` as weighed at moisture ``wet_frac``: m (1 - w). Raises :class:`Refused`."""
    return mass_mg * (1 - checked_wet_frac(wet_frac))


def mass_after_drying(
    mass_mg: float, from_frac: float, to_frac: float, *,
    u_mass_mg: float = 0.0, u_from_frac: float = 0.0, u_to_frac: float = 0.0,
) -> DriedMass:
    """Mass in mg when moisture goes from ``from_frac`` to ``to_frac`` (wet basis) and no dry matter is lost.

    m2 = m1 (1 - w1)/(1 - w2); the relative variances of m1, 1 - w1 and 1 - w2 add (first order, JCGM 100 5.1.2).
    ``to_frac`` above ``from_frac`` is uptake, as powder does in humid air. Raises :class:`Refused` outside [0, 1).
    """
    kept_from, kept_to = 1 - checked_wet_frac(from_frac), 1 - checked_wet_frac(to_frac)
    scale = kept_from / kept_to
    parts = (u_mass_mg * scale, mass_mg * u_from_frac / kept_to, mass_mg * scale * u_to_frac / kept_to)
    return DriedMass(mass_mg * scale, math.hypot(*parts))


def water_removed_mg(mass_mg: float, from_frac: float, to_frac: float) -> float:
    """Water in mg that leaves between two moistures (wet basis): m1 (w1 - w2)/(1 - w2); negative is uptake."""
    return mass_mg - mass_after_drying(mass_mg, from_frac, to_frac).mass_mg


def loss_in_mass_frac(before_mg: float, after_mg: float) -> float:
    """Loss in mass of a test portion, kg per kg wet, from mg before and after drying: (m0 - m1)/m0 (ISO 1573, 103 °C).

    Not only water leaves at 103 °C, so the book calls it loss in mass. Raises :class:`Refused` for a portion that is
    empty or grew.
    """
    if before_mg > 0 and 0 < after_mg <= before_mg:
        return (before_mg - after_mg) / before_mg
    raise Refused(
        "The dried portion must weigh something, and no more than before drying. Look at both readings of the dish.",
        "乾燥後の試料は 0 より重く、乾燥前より軽いはず。皿の二つの目盛りを見直す。",
    )


def wet_frac_from(per_100: Decimal, basis: Basis) -> Decimal:
    """The wet-basis fraction that the book keeps, from a moisture typed per 100 on ``basis``, to six decimals.

    Raises :class:`Refused` for 100 and more per 100 wet, and below 0 on either basis.
    """
    if not per_100.is_finite() or per_100 < 0 or (basis is Basis.WET and per_100 >= 100):
        raise _wet_refusal(per_100 / 100)
    whole = Decimal(100) if basis is Basis.WET else 100 + per_100
    return (per_100 / whole).quantize(FRAC_STEP)


def per_100(wet_frac: float, basis: Basis) -> float:
    """A wet-basis fraction as it is said: per 100 wet or per 100 dry. Raises :class:`Refused` outside [0, 1)."""
    return 100 * (checked_wet_frac(wet_frac) if basis is Basis.WET else dry_from_wet(wet_frac))
