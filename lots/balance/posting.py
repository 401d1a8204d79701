"""The postings of a period balance: what each line of the book gives to which figure of which product group."""

from __future__ import annotations

import datetime as dt
from collections import defaultdict
from collections.abc import Iterable, Iterator, Sequence
from itertools import groupby

from lots.balance.period import STATES, Book, Column, Key, Line, Posting

_NAMED = (
    (frozenset({"sample", "samples", "sampling", "laboratory"}), Column.SAMPLES),
    (frozenset({"own", "gift", "gifts", "given"}), Column.OWN_USE),
    (frozenset({"downgrade", "downgraded", "lower", "lowered"}), Column.DOWNGRADED),
)
_DESTROYED = frozenset({"destroy", "destroyed", "destruction", "dispose", "disposed"})
#: The role of water that was taken off a delivery: it lessens what was received and is nothing that is missing.
WATER = "deducted_water"


def exit_column(line: Line) -> Column:
    """Return which figure takes what left and became nothing else: named by the role of the line, its stage or act."""
    told = set(f"{line.role} {line.part} {line.stage}".replace("_", " ").lower().split())
    named = next((column for words, column in _NAMED if told & words), None)
    return named or (Column.LOST if line.kind == "lost" or told & _DESTROYED else Column.OUT)


def postings(book: Book, first: dt.datetime, after: dt.datetime) -> list[Posting]:
    """Return every posting of the period from ``first`` to just before ``after``."""
    lines = [line for line in book.lines if line.lot_id is None or book.lots[line.lot_id].group]
    found = [*_of_lots(book, [line for line in lines if line.at < after], first)]
    for run, its in groupby(sorted(lines, key=lambda line: line.run), key=lambda line: line.run):
        found += _of_run(_Run(book, run, list(its), first, after))
    return [p for p in found if p.dry_mg or p.read_mg]


def _of_lots(book: Book, lines: Sequence[Line], first: dt.datetime) -> Iterator[Posting]:
    """Yield what stood and stands of each lot, and what counts and a changed moisture make."""
    by_lot: dict[int, list[Line]] = defaultdict(list)
    for line in lines:
        if line.lot_id is not None:
            by_lot[line.lot_id].append(line)
    for lot_id, its in by_lot.items():
        facts = book.lots[lot_id]
        key = (facts.group, facts.state)
        before, within = ([x for x in its if (x.at < first) is earlier] for earlier in (True, False))
        wet_before_mg, wet_within_mg = (sum(_signed(x) * x.mass_mg for x in some) for some in (before, within))
        dry_frac = 1.0 - facts.moisture_frac
        wet_mg = wet_before_mg + wet_within_mg
        opened = its[0].step
        yield Posting(key, Column.OPENING, "on the shelf", wet_before_mg * dry_frac, wet_before_mg, opened, lot_id, None)
        yield Posting(key, Column.CLOSING, "on the shelf", wet_mg * dry_frac, wet_mg, opened, lot_id, None)
        drift_mg = sum(_signed(x) * x.dry_mg for x in within) - wet_within_mg * dry_frac
        if abs(drift_mg) >= 1:
            yield Posting(key, Column.UNEXPLAINED, "moisture changed", drift_mg, None, within[-1].step, lot_id, within[-1].at)
        for x in within:
            if x.kind == "difference" and x.role == WATER:
                yield Posting(key, Column.RECEIVED, x.role, x.dry_mg, x.mass_mg, x.step, lot_id, x.at)
            elif x.kind == "difference":
                yield Posting(key, Column.UNEXPLAINED, x.role, -x.dry_mg, -x.mass_mg, x.step, lot_id, x.at)


def _signed(line: Line) -> int:
    return -1 if line.kind == "in" else 1 if line.kind in {"out", "difference"} else 0


class _Run:
    """One run (or single step) in the light of a period."""

    def __init__(self, book: Book, run: int, lines: Sequence[Line], first: dt.datetime, after: dt.datetime) -> None:
        self.book, self.run, self.first, self.after = book, run, first, after
        self.lines = [line for line in lines if line.at < after]
        self.within = [line for line in self.lines if line.at >= first]
        self.shares = self._shares(lines)

    def key(self, line: Line) -> Key:
        """Return group and state of the lot of a line."""
        facts = self.book.lots[line.lot_id or 0]
        return facts.group, facts.state

    def _shares(self, lines: Sequence[Line]) -> dict[Key, float]:
        """Return what part of all that ever went in each key gave: one figure, so that periods join."""
        drawn: dict[Key, float] = defaultdict(float)
        for line in lines:
            if line.kind == "in":
                drawn[self.key(line)] += line.dry_mg
        whole_mg = sum(drawn.values())
        return {key: dry / whole_mg for key, dry in drawn.items()} if whole_mg > 0 else {}

    @property
    def gives(self) -> bool:
        """Whether anything came out of it or is named as lost."""
        return any(line.kind in {"out", "lost"} and line.mass_mg for line in self.lines)

    def holds(self, at: dt.datetime) -> bool:
        """Whether the run still holds leaf at a moment: it lasts, has begun and is not closed."""
        closed_at = self.book.closed.get(self.run)
        return self.run in self.book.lasting and (closed_at is None or closed_at >= at)

    def left_mg(self, key: Key, lines: Iterable[Line]) -> tuple[float, float]:
        """Return what some lines leave in the run of one key, dry and as read."""
        dry_mg = read_mg = 0.0
        for line in lines:
            if line.kind == "in":
                share = 1.0 if self.key(line) == key else 0.0
            else:
                share = 0.0 if line.kind == "difference" else -self.shares.get(key, 0.0)
            dry_mg, read_mg = dry_mg + share * line.dry_mg, read_mg + share * line.mass_mg
        return dry_mg, read_mg


def _of_run(run: _Run) -> Iterator[Posting]:
    """Yield the postings of one run: it receives, it turns one group into another, or it takes out of the house."""
    if not run.lines:
        return
    if not run.shares:
        yield from _received(run)
    elif run.gives or run.run in run.book.lasting:
        yield from _turned(run)
        yield from _kept(run)
    else:
        for line in run.within:
            if line.kind == "in":
                yield Posting(run.key(line), exit_column(line), line.stage, line.dry_mg, line.mass_mg, line.step, line.lot_id, line.at)


def _received(run: _Run) -> Iterator[Posting]:
    for line in run.within:
        if line.kind == "out":
            yield Posting(run.key(line), Column.RECEIVED, line.stage, line.dry_mg, line.mass_mg, line.step, line.lot_id, line.at)


def _turned(run: _Run) -> Iterator[Posting]:
    """Yield what came of leaf in the next stage, and its named losses, shared out over what went in."""
    for line in run.within:
        for key, share in run.shares.items():
            dry_mg, read_mg = share * line.dry_mg, share * line.mass_mg
            if line.kind == "lost":
                yield Posting(key, exit_column(line), line.role, dry_mg, read_mg, line.step, None, line.at)
            if line.kind != "out" or run.key(line) == key:
                continue  # powder that was sieved is powder still: neither used nor made
            target = run.key(line)
            fell = STATES.index(target[1]) > STATES.index(key[1])
            yield Posting(
                key, Column.DOWNGRADED if fell else Column.USED, line.stage, dry_mg, read_mg, line.step, line.lot_id, line.at
            )
            yield Posting(target, Column.MADE, line.stage, dry_mg, read_mg, line.step, line.lot_id, line.at)


def _kept(run: _Run) -> Iterator[Posting]:
    """Yield what an open run held and holds, and what a closed one leaves unexplained."""
    stage, step = run.lines[0].stage, run.run
    for key in run.shares:
        moved_mg, _read = run.left_mg(key, run.within)
        was_mg, was_read_mg = run.left_mg(key, [x for x in run.lines if x.at < run.first]) if run.holds(run.first) else (0.0, 0.0)
        is_mg, is_read_mg = run.left_mg(key, run.lines) if run.holds(run.after) else (0.0, 0.0)
        yield Posting(key, Column.OPENING, "in the mill", was_mg, was_read_mg, step, None, None)
        yield Posting(key, Column.CLOSING, "in the mill", is_mg, is_read_mg, step, None, None)
        missing_mg = moved_mg + was_mg - is_mg
        if abs(missing_mg) >= 1:
            yield Posting(key, Column.UNEXPLAINED, stage, missing_mg, None, step, None, (run.within or run.lines)[-1].at)
