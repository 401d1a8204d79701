"""Which packs of a series may be taken one by one: here, not in a case, and not waiting for quality after a return."""

from __future__ import annotations

from collections.abc import Collection, Sequence
from dataclasses import dataclass

from django.db.models import Exists, OuterRef

from lots.models import PackedUnit, PackMove, PackReturn, ReturnFate
from lots.read.cases import Part, parts_in, taken_back
from lots.read.series import AWAY, SeriesState, series_state


@dataclass(frozen=True, slots=True)
class Waiting:
    """Packs that came back and on which quality has not spoken yet: the step of the return, how many, which numbers."""

    returned: int
    pack_count: int
    first_no: int | None
    last_no: int | None


@dataclass(frozen=True, slots=True)
class Loose:
    """The state of a series with what binds some of its packs: cases here, and returns that wait."""

    state: SeriesState
    first_no: int
    last_no: int
    cased: tuple[Part, ...]
    waiting: tuple[Waiting, ...]

    @property
    def cased_count(self) -> int:
        """How many packs lie in cases."""
        return sum(part.pack_count for part in self.cased)

    @property
    def waiting_count(self) -> int:
        """How many packs wait for the word of quality."""
        return sum(one.pack_count for one in self.waiting)

    @property
    def free_count(self) -> int:
        """How many packs may be taken one by one."""
        return self.state.here_count - self.cased_count - self.waiting_count

    @property
    def all_numbered(self) -> bool:
        """Whether every pack that is not free is known by its number."""
        known = sum(last - first + 1 for first, last in self.pieces() if self.state.fate_of(first) in AWAY)
        return known == self.state.gone_count and all(one.first_no is not None for one in (*self.cased, *self.waiting))

    def case_in(self, first_no: int, last_no: int) -> tuple[int, str] | None:
        """Return the first number of a range that lies in a case here, with the code of the case."""
        hits = [
            (max(part.first_no, first_no), part.code) for part in self.cased
            if part.first_no is not None and part.last_no is not None and part.first_no <= last_no and part.last_no >= first_no
        ]
        return min(hits, default=None)

    def waiting_in(self, first_no: int, last_no: int) -> int | None:
        """Return the first number of a range that came back and waits for quality."""
        hits = [
            max(one.first_no, first_no) for one in self.waiting
            if one.first_no is not None and one.last_no is not None and one.first_no <= last_no and one.last_no >= first_no
        ]
        return min(hits, default=None)

    def free_ranges(self) -> list[tuple[int, int]]:
        """Return the numbers that are free, as ranges in order."""
        return [(first, last) for first, last in self.pieces() if self.is_free(first)]

    def pieces(self) -> list[tuple[int, int]]:
        """Return the numbers of the series as ranges within which all packs are in one state."""
        taken = [(first, last) for first, last, _fate in self.state.ranges]
        bound = [(one.first_no, one.last_no) for one in (*self.cased, *self.waiting)]
        edges = {self.first_no, *(no for first, last in [*taken, *bound] if first and last for no in (first, last + 1))}
        starts = sorted(no for no in edges if self.first_no <= no <= self.last_no)
        return list(zip(starts, [*(no - 1 for no in starts[1:]), self.last_no], strict=True))

    def is_free(self, pack_no: int) -> bool:
        """Tell whether one number is here, in no case, and does not wait."""
        gone = self.state.fate_of(pack_no) in AWAY
        return not gone and self.case_in(pack_no, pack_no) is None and self.waiting_in(pack_no, pack_no) is None


def waiting_returns(unit: PackedUnit) -> tuple[Waiting, ...]:
    """Return the packs of a series that came back and wait for the word of quality."""
    ended = ReturnFate.objects.filter(~taken_back("step"), returned=OuterRef("step"))
    open_ = PackReturn.objects.filter(~Exists(ended), ~taken_back("step"))
    rows = PackMove.objects.filter(unit=unit, fate=PackMove.Fate.RETURNED, step__in=open_.values("step")).order_by("pk")
    return tuple(Waiting(row.step_id, row.pack_count, row.first_no, row.last_no) for row in rows)


def loose(unit: PackedUnit, unwritten: Sequence[PackMove] = (), without: Collection[int] = ()) -> Loose:
    """Return the state of a series with its bound packs; the cases of the steps ``without`` leave with this act."""
    state = series_state(unit, unwritten)
    return Loose(state, unit.first_no, unit.last_no, tuple(parts_in(unit, without)), waiting_returns(unit))
