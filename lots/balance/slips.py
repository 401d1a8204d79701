"""What a figure that was typed may have been meant to be: one slip of the hand or the eye at a time.

Kinds and their order are those of the trade's own list (common practice, no source); that neighbouring digits are swapped
in about a tenth of all slips and one digit is taken for another in most of them is the usual finding of studies of typed
codes (from memory).
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from enum import StrEnum

MG_PER_KG = 1_000_000


class SlipKind(StrEnum):
    """How one entry can be wrong."""

    PLACE = "decimal place"
    UNIT = "wrong unit"
    SWAPPED = "digits swapped"
    DOUBLED = "digit doubled"
    DROPPED = "digit dropped"
    MISREAD = "digit misread"
    TARE = "tare"
    OTHER_LOT = "booked to another lot"
    CARRIED = "left-over carried into the next job"
    NOT_WEIGHED = "by-product not weighed"
    REWORK = "rework not booked"


@dataclass(frozen=True, slots=True)
class Slip:
    """A figure in mg that may have been meant, and the kind of slip that made the typed one of it."""

    kind: SlipKind
    mass_mg: int


def shown_decimals(division_mg: int) -> int:
    """How many decimals of a kilogram a display with this division in mg shows: 10 g shows two, 5 g three."""
    decimals = 0
    while decimals < 6 and division_mg % 10 ** (6 - decimals):
        decimals += 1
    return decimals


def slips(mass_mg: int, division_mg: int, tares_mg: tuple[int, ...] = ()) -> tuple[Slip, ...]:
    """Every figure in mg that one slip could have turned into ``mass_mg``, each once under its likeliest kind.

    ``division_mg`` is the scale's: figures that its display cannot show are left out. ``tares_mg`` are vessels of the house.
    Raises ValueError for a division that is not above nothing.
    """
    if division_mg <= 0:
        raise ValueError("A scale's division is more than nothing.")
    decimals = shown_decimals(division_mg)
    unit_mg = 10 ** (6 - decimals)
    digits = f"{max(0, mass_mg) // unit_mg:0{decimals + 1}d}"
    found: dict[int, Slip] = {}
    for kind, other_mg in (*_scaled(mass_mg), *_typed(digits, unit_mg, decimals), *_tared(mass_mg, tares_mg)):
        if other_mg > 0 and other_mg != mass_mg and other_mg % division_mg == 0:
            found.setdefault(other_mg, Slip(kind, other_mg))
    return tuple(found.values())


def _scaled(mass_mg: int) -> Iterator[tuple[SlipKind, int]]:
    for power in (10, 100):
        yield SlipKind.PLACE, mass_mg * power
        if mass_mg % power == 0:
            yield SlipKind.PLACE, mass_mg // power
    yield SlipKind.UNIT, mass_mg * 1000
    if mass_mg % 1000 == 0:
        yield SlipKind.UNIT, mass_mg // 1000


def _typed(digits: str, unit_mg: int, decimals: int) -> Iterator[tuple[SlipKind, int]]:
    for i in range(len(digits) - 1):
        yield SlipKind.SWAPPED, int(digits[:i] + digits[i + 1] + digits[i] + digits[i + 2 :]) * unit_mg
    whole = len(digits) - decimals
    for i in range(whole - 1):
        if digits[i] == digits[i + 1]:
            yield SlipKind.DOUBLED, int(digits[:i] + digits[i + 1 :]) * unit_mg
    for i in range(whole + 1):
        for digit in "0123456789":
            yield SlipKind.DROPPED, int(digits[:i] + digit + digits[i:]) * unit_mg
    for i, typed in enumerate(digits):
        for digit in "0123456789":
            if digit != typed:
                yield SlipKind.MISREAD, int(digits[:i] + digit + digits[i + 1 :]) * unit_mg


def _tared(mass_mg: int, tares_mg: tuple[int, ...]) -> Iterator[tuple[SlipKind, int]]:
    for tare_mg in tares_mg:
        yield SlipKind.TARE, mass_mg - tare_mg
        yield SlipKind.TARE, mass_mg + tare_mg
