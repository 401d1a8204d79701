"""Sampling plans for the net content of prepackages, each with the place where its table was read."""

from __future__ import annotations

from dataclasses import dataclass
from types import MappingProxyType

EVERY_PACK = 0
MOST_MG = 50_000_000


@dataclass(frozen=True, slots=True)
class PlanRow:
    """One row of a plan: lots of ``first_size`` to ``last_size`` packs (None: no upper end).

    ``sample_count`` packs are weighed (0: every pack of the lot); the mean of ``mean_count`` of them is judged with
    ``k``; at most ``t1_allowed_count`` of them may fall short by more than T. A double plan goes on to
    ``second_count`` more where the shortfalls lie between ``t1_allowed_count`` and ``t1_reject_count``; then ``t1_both_count``.
    """

    first_size: int
    last_size: int | None
    sample_count: int
    k: float
    t1_allowed_count: int
    mean_count: int = 0
    t1_reject_count: int = 0
    second_count: int = 0
    t1_both_count: int = 0

    def holds(self, lot_size: int) -> bool:
        """Whether a lot of so many packs falls into this row."""
        return self.first_size <= lot_size and (self.last_size is None or lot_size <= self.last_size)


@dataclass(frozen=True, slots=True)
class Plan:
    """A named plan with its words and its source, for label contents of ``nominal_from_mg`` to ``nominal_to_mg``, in mg."""

    name: str
    english: str
    japanese: str
    source: str
    rows: tuple[PlanRow, ...]
    nominal_from_mg: int = 1
    nominal_to_mg: int = MOST_MG

    def row(self, lot_size: int) -> PlanRow | None:
        """Return the row for a lot of so many packs; None where the plan says nothing of such lots."""
        return next((row for row in self.rows if row.holds(lot_size)), None)


OIML_R87_2004 = Plan(
    "oiml_r87_2004", "Three-row plan (OIML R 87, edition of 2004)", "三段の抜取（OIML R 87 2004年版）",
    "OIML R 87:2004 as carried in the Australian National Trade Measurement Regulations 2009, reg 4.34",
    (PlanRow(100, 500, 50, 0.379, 3), PlanRow(501, 3_200, 80, 0.295, 5), PlanRow(3_201, None, 125, 0.234, 7)),
)
FINITE_LOT = Plan(
    "finite_lot_1999", "Plan for small lots", "小ロットの抜取",
    "New Zealand Weights and Measures Regulations 1999, Schedule 7A",
    (
        PlanRow(2, 12, EVERY_PACK, 0.0, 0), PlanRow(13, 39, 12, 0.746, 0), PlanRow(40, 79, 12, 0.826, 1),
        PlanRow(80, 149, 12, 0.860, 2), PlanRow(150, 399, 32, 0.465, 3), PlanRow(400, 4_000, 32, 0.483, 4),
        PlanRow(4_001, None, 80, 0.295, 6),
    ),
)
DOUBLE = Plan(
    "double_1976", "Double plan of the European directive", "欧州指令の二回抜取",
    "Council Directive 76/211/EEC, annex II; United Kingdom SI 2006/659, schedule 2",
    (
        PlanRow(100, 500, 30, 0.503, 1, 30, 3, 30, 4), PlanRow(501, 3_200, 50, 0.379, 2, 50, 5, 50, 6),
        PlanRow(3_201, 10_000, 80, 0.379, 3, 50, 7, 80, 8),
    ),
    5_000, 10_000_000,
)

#: Every plan by its stored name.
PLANS = MappingProxyType({plan.name: plan for plan in (FINITE_LOT, OIML_R87_2004, DOUBLE)})
