"""The state of a series of packs: which numbers are here and which are gone."""

from __future__ import annotations

from dataclasses import dataclass

from lots.models import PackedUnit, PackMove

AWAY = frozenset({PackMove.Fate.DISPATCHED, PackMove.Fate.DESTROYED, PackMove.Fate.VOID})


@dataclass(frozen=True, slots=True)
class SeriesState:
    """How many packs of a series were made, are gone and are here; ``ranges`` are the numbered moves in order of time."""

    made_count: int
    gone_count: int
    ranges: tuple[tuple[int, int, str], ...]

    @property
    def here_count(self) -> int:
        """How many packs are in the house."""
        return self.made_count - self.gone_count

    def fate_of(self, pack_no: int) -> str:
        """Return what became of one number last; empty while it is in stock (or left uncounted by number)."""
        fates = [fate for first, last, fate in self.ranges if first <= pack_no <= last]
        return fates[-1] if fates else ""

    def first_gone_in(self, first_no: int, last_no: int) -> int | None:
        """Return the first number of a range that is not here, or None."""
        touched = [r for r in self.ranges if r[0] <= last_no and r[1] >= first_no]
        if not touched:
            return None
        return next((n for n in range(first_no, last_no + 1) if self.fate_of(n) in AWAY), None)


def series_state(unit: PackedUnit) -> SeriesState:
    """Return the state of one series from the moves that name it."""
    moves = list(unit.moves.order_by("pk").values_list("fate", "pack_count", "first_no", "last_no"))
    gone = sum(n for fate, n, _, _ in moves if fate in AWAY) - sum(n for fate, n, _, _ in moves if fate == PackMove.Fate.RETURNED)
    ranges = tuple((first, last, fate) for fate, _, first, last in moves if first is not None)
    return SeriesState(unit.pack_count, gone, ranges)
