"""Numbers in a row as ranges."""

from __future__ import annotations

from collections.abc import Iterable


def ranges_of(numbers: Iterable[int]) -> list[tuple[int, int]]:
    """Return numbers as ranges: 4, 5, 6, 9 are 4 to 6 and 9 to 9."""
    found: list[tuple[int, int]] = []
    for number in sorted(set(numbers)):
        if found and found[-1][1] + 1 == number:
            found[-1] = (found[-1][0], number)
        else:
            found.append((number, number))
    return found
