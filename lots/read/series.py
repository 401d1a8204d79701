"""The state of a series of packs: which numbers are here and which are gone."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from lots.models import PackedUnit, PackMove

AWAY = frozenset({
    PackMove.Fate.DISPATCHED, PackMove.Fate.DESTROYED, PackMove.Fate.VOID, PackMove.Fate.GIVEN, PackMove.Fate.OWN_USE,
})
BACK = frozenset({PackMove.Fate.RETURNED, PackMove.Fate.RESTORED})


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
        edges = {first_no, *(n for first, last, _ in self.ranges for n in (first, last + 1))}
        return next((n for n in sorted(edges) if first_no <= n <= last_no and self.fate_of(n) in AWAY), None)


def series_state(unit: PackedUnit, unwritten: Sequence[PackMove] = ()) -> SeriesState:
    """Return the state of one series from the moves that name it, and from those of an act that is not written yet."""
    moves = list(unit.moves.order_by("pk").values_list("fate", "pack_count", "first_no", "last_no"))
    moves += [(str(move.fate), move.pack_count, move.first_no, move.last_no) for move in unwritten]
    gone = sum(n for fate, n, _, _ in moves if fate in AWAY) - sum(n for fate, n, _, _ in moves if fate in BACK)
    ranges = tuple((first, last, fate) for fate, _, first, last in moves if first is not None)
    return SeriesState(unit.pack_count, gone, ranges)
