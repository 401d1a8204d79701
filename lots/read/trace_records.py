"""The frozen records of a trace: three tiers back to the fields and forward to the packs."""

from __future__ import annotations

import datetime as dt
from dataclasses import dataclass

from lots.read.names import LotName
from lots.read.origins import OriginShare
from lots.read.outgoing import Sent, SeriesTrace
from lots.read.stops import Stop, Way
from lots.trade.lineage import Tier


@dataclass(frozen=True, slots=True)
class Touched:
    """Something may have gone from one stop to another: machines that both used were not cleaned in between.

    ``earlier`` and ``later`` are keys of stops. ``bound_mg`` is the most (None: nobody knows) and ``estimate_mg`` the
    estimate where there is one, as read. ``origins`` is what the stop that is not ours holds; ``behind`` are further
    harvests that may have come to it by contact before. ``forward`` tells that ours is the earlier one.
    """

    earlier: str
    later: str
    machines: tuple[str, ...]
    from_at: dt.datetime
    to_at: dt.datetime
    bound_mg: int | None
    estimate_mg: int | None
    origins: tuple[OriginShare, ...]
    behind: tuple[OriginShare, ...]
    forward: bool

    @property
    def other(self) -> str:
        """The key of the stop that is not ours."""
        return self.later if self.forward else self.earlier


@dataclass(frozen=True, slots=True)
class Cleaned:
    """A clean-down that shuts a contact out: machine, step, entry, when."""

    machine: str
    step: int
    entry: int
    happened_at: dt.datetime


@dataclass(frozen=True, slots=True)
class Excluded:
    """A stop that was looked at and shut out, by the clean-downs of every machine that it shares with the trace."""

    other: str
    ours: str
    cleaned: tuple[Cleaned, ...]
    origins: tuple[OriginShare, ...]
    forward: bool


@dataclass(frozen=True, slots=True)
class Here:
    """A lot of the trace that is still here: its name and what the book has of it, in mg as read."""

    lot: LotName
    book_mg: int


@dataclass(frozen=True, slots=True)
class Trace:
    """The whole answer for one lot, or for the lots that one step made together.

    ``origins``: harvests with their share of dry mass. ``stops`` and ``ways``: the path, in every tier. ``back_steps``
    and ``forward_steps``: all steps that the leaf came from and that hold it. ``touched_steps`` are later steps that
    contact may have reached, each with its bound in mg (None: not known). ``dry_mg`` is the dry mass of the lots.
    """

    lots: tuple[LotName, ...]
    step: int
    dry_mg: float
    origins: tuple[OriginShare, ...]
    stops: tuple[Stop, ...]
    ways: tuple[Way, ...]
    touched: tuple[Touched, ...]
    excluded: tuple[Excluded, ...]
    series: tuple[SeriesTrace, ...]
    consignments: tuple[Sent, ...]
    here: tuple[Here, ...]
    back_steps: frozenset[int]
    forward_steps: frozenset[int]
    touched_steps: tuple[tuple[int, int | None], ...]

    def stop(self, key: str) -> Stop:
        """Return a stop by its key."""
        return next(s for s in self.stops if s.key == key)

    @property
    def own(self) -> Stop | None:
        """The stop that made the traced lots."""
        return next((s for s in self.stops if self.step in s.steps), None)

    @property
    def path(self) -> tuple[Stop, ...]:
        """The stops that the leaf came through for certain, the traced one last."""
        return tuple(s for s in self.stops if s.tier is Tier.CONTAINS and s.steps[0] <= self.step and s.key != self.own_key)

    @property
    def own_key(self) -> str:
        """The key of the stop that made the traced lots."""
        return self.own.key if self.own else ""

    @property
    def bound_mg(self) -> int | None:
        """The most that contact may have brought into it in all, as read; None where one of them has no bound."""
        bounds = [t.bound_mg for t in self.touched if not t.forward]
        return None if None in bounds else sum(b for b in bounds if b is not None)
