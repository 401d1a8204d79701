"""Net content of prepackages: what may be missing from one pack, and whether a checked series is accepted by a named plan.

The rules of the authority of legal metrology where the packs are sold go before anything that is computed here.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from statistics import fmean, stdev

from lots.quality.net_content_plans import EVERY_PACK, MOST_MG, PLANS, Plan, PlanRow
from lots.trade.language import Refused, Said
from lots.trade.units import g_text, signed_g_text

__all__ = ["PLANS", "NetContent", "judge", "plan_for", "tolerable_deficiency_mg", "weighing_error_most_mg"]

#: Up to this label content in mg (included): per mille of it, or a fixed mass in mg. Directive 76/211/EEC annex I 2.4
#: (5 g to 10 kg) and Australian NTMR 2009 reg 4.36 (0 to 50 kg): where two rows meet they agree.
DEFICIENCIES = (
    (50_000, 90, 0), (100_000, 0, 4_500), (200_000, 45, 0), (300_000, 0, 9_000), (500_000, 30, 0), (1_000_000, 0, 15_000),
    (10_000_000, 15, 0), (15_000_000, 0, 150_000), (MOST_MG, 10, 0),
)
FINE_MG, COARSE_MG, FINE_UP_TO_MG = 100, 1_000, 1_000_000
#: A scale for the check errs by at most this part of T: United Kingdom (NI) SR 2011/331, schedule 2, 1.3.
ERROR_PART = 5


@dataclass(frozen=True, slots=True)
class NetContent:
    """The judgement of one check-weighing; masses in mg.

    ``accepted`` is None while the plan wants more packs (``wanted_count``), or says nothing of such a lot. ``t1_count``
    counts packs that hold less than the label less T, ``t2_count`` those below the label less 2 T (each counts in both).
    ``k`` is the sample correction factor of the mean test; ``giveaway_mg`` is mean less label, per pack.
    """

    plan: str
    nominal_mg: int
    deficiency_mg: int
    weighed_count: int
    wanted_count: int
    mean_mg: float
    sd_mg: float
    k: float
    t1_count: int
    t2_count: int
    t1_allowed_count: int
    accepted: bool | None
    reasons: tuple[Said, ...]

    @property
    def giveaway_mg(self) -> float:
        """What a pack holds above its label in the mean, in mg; negative: short."""
        return self.mean_mg - self.nominal_mg


def tolerable_deficiency_mg(nominal_mg: int) -> int:
    """Return T, what may be missing from one pack whose label says ``nominal_mg``, in mg.

    A percentage is rounded up to the next 0.1 g, above 1,000 g to the next whole gram (NTMR 2009 reg 4.36). Raises
    `Refused` for a content that is not above 0 and at most 50 kg.
    """
    if not 0 < nominal_mg <= MOST_MG:
        raise Refused(
            f"A label content of {g_text(nominal_mg, 1)} is outside the table of what may be missing: it goes up to 50 kg.",
            f"表示量 {g_text(nominal_mg, 1)} は許容不足量の表の外です（50 kg まで）。",
        )
    _, per_mille, fixed_mg = next(row for row in DEFICIENCIES if nominal_mg <= row[0])
    if fixed_mg:
        return fixed_mg
    step = 1_000 * (FINE_MG if nominal_mg <= FINE_UP_TO_MG else COARSE_MG)
    return -(-nominal_mg * per_mille // step) * step // 1_000


def weighing_error_most_mg(nominal_mg: int) -> float:
    """Return how much the scale of a check may err at most, in mg: a fifth of T (NI SR 2011/331 schedule 2, 1.3)."""
    return tolerable_deficiency_mg(nominal_mg) / ERROR_PART


def plan_for(lot_size: int) -> str:
    """Return the name of the plan that is proposed for a lot of so many packs: the three-row plan from 100 packs on."""
    return "oiml_r87_2004" if PLANS["oiml_r87_2004"].row(lot_size) else "finite_lot_1999"


def judge(*, plan: str, nominal_mg: int, contents_mg: Sequence[int], lot_size: int) -> NetContent:
    """Judge the contents of weighed packs, in mg, of a lot of ``lot_size`` packs by a plan.

    Accepted where mean + factor × s reaches the label content ``nominal_mg`` (s with n − 1), no more packs than the plan
    allows fall short by more than T, and none by more than 2 T. Packs beyond the plan's number count for the last rule
    only. Raises `Refused` for a content below nothing and a label content outside the table, `KeyError` for an unknown plan.
    """
    asked = PLANS[plan]
    deficiency_mg = tolerable_deficiency_mg(nominal_mg)
    if any(content_mg < 0 for content_mg in contents_mg):
        raise Refused("A pack cannot hold less than nothing. Look at the tare.", "内容量が負になっています。風袋を確かめてください。")
    row = asked.row(lot_size) if asked.nominal_from_mg <= nominal_mg <= asked.nominal_to_mg else None
    if row is None:
        return _told(asked, nominal_mg, contents_mg, _not_covered(asked, lot_size))
    first = lot_size if row.sample_count == EVERY_PACK else row.sample_count
    short = [content_mg < nominal_mg - deficiency_mg for content_mg in contents_mg]
    goes_on = bool(row.second_count) and len(short) >= first and row.t1_allowed_count < sum(short[:first]) < row.t1_reject_count
    wanted = first + row.second_count if goes_on else first
    allowed = row.t1_both_count if goes_on else row.t1_allowed_count
    judged = list(contents_mg[:wanted])
    return _Check(asked, row, nominal_mg, deficiency_mg, tuple(contents_mg), tuple(judged), wanted, allowed).result()


@dataclass(frozen=True, slots=True)
class _Check:
    """The figures of a lot that the plan covers."""

    plan: Plan
    row: PlanRow
    nominal_mg: int
    deficiency_mg: int
    contents_mg: tuple[int, ...]
    judged_mg: tuple[int, ...]
    wanted_count: int
    allowed_count: int

    def result(self) -> NetContent:
        """Return the judgement: a fault that is certain speaks before the sample is whole."""
        t1 = sum(content < self.nominal_mg - self.deficiency_mg for content in self.judged_mg)
        t2 = sum(content < self.nominal_mg - 2 * self.deficiency_mg for content in self.contents_mg)
        missing = max(0, self.wanted_count - len(self.judged_mg))
        mean_mg, sd_mg = _mean_and_sd(self.judged_mg)
        faults = [*self._t2(t2), *self._t1(t1), *([] if missing else self._mean())]
        accepted = False if faults else None if missing else True
        return NetContent(
            self.plan.name, self.nominal_mg, self.deficiency_mg, len(self.contents_mg), missing, mean_mg, sd_mg, self.row.k,
            t1, t2, self.allowed_count, accepted, tuple(faults) or (self._so_far(missing),),
        )

    def _t2(self, count: int) -> list[Said]:
        limit_mg = self.nominal_mg - 2 * self.deficiency_mg
        if not count:
            return []
        return [Said(
            f"Packs below {g_text(limit_mg, 1)} (label less twice what may be missing): {count}; none may be.",
            f"{g_text(limit_mg, 1)} 未満（表示量から許容不足量の2倍を引いた量）の品が {count} 個。1個もあってはなりません。",
        )]

    def _t1(self, count: int) -> list[Said]:
        limit_mg = self.nominal_mg - self.deficiency_mg
        if count <= self.allowed_count:
            return []
        return [Said(
            f"Packs below {g_text(limit_mg, 1)} (label less what may be missing): {count}; the plan allows {self.allowed_count}.",
            f"{g_text(limit_mg, 1)} 未満（表示量から許容不足量を引いた量）の品が {count} 個。許容は {self.allowed_count} 個までです。",
        )]

    def _mean(self) -> list[Said]:
        mean_mg, sd_mg = _mean_and_sd(self.judged_mg[: self.row.mean_count or None])
        lacking_mg = self.nominal_mg - (mean_mg + self.row.k * sd_mg)
        if lacking_mg <= 1e-9 * self.nominal_mg:
            return []
        least, short = g_text(self.nominal_mg - self.row.k * sd_mg, 2), signed_g_text(mean_mg - self.nominal_mg, 2)
        return [Said(
            f"The mean of {g_text(mean_mg, 2)} is {short} against the label; with this scatter it must reach {least}.",
            f"平均 {g_text(mean_mg, 2)} は表示量に対して {short}。このばらつきでは {least} 以上が必要です。",
        )]

    def _so_far(self, missing: int) -> Said:
        if missing:
            return Said(f"{missing} more to weigh before the plan can judge.", f"判定まであと {missing} 個量ってください。")
        return Said("Nothing falls short by more than the plan allows.", "不足は抜取の許す範囲です。")


def _not_covered(plan: Plan, lot_size: int) -> Said:
    return Said(
        f"{plan.english} says nothing of {lot_size:,} packs of this content. Choose another plan.",
        f"「{plan.japanese}」にはこの内容量で {lot_size:,} 個の場合の定めがありません。別の抜取を選んでください。",
    )


def _told(plan: Plan, nominal_mg: int, contents_mg: Sequence[int], reason: Said) -> NetContent:
    """The figures alone, where the plan does not speak."""
    t_mg = tolerable_deficiency_mg(nominal_mg)
    mean_mg, sd_mg = _mean_and_sd(contents_mg)
    t1, t2 = (sum(content < nominal_mg - times * t_mg for content in contents_mg) for times in (1, 2))
    return NetContent(plan.name, nominal_mg, t_mg, len(contents_mg), 0, mean_mg, sd_mg, 0.0, t1, t2, 0, None, (reason,))


def _mean_and_sd(contents_mg: Sequence[int]) -> tuple[float, float]:
    """Mean and standard deviation with n − 1; not a number where there are too few."""
    if not contents_mg:
        return math.nan, math.nan
    return fmean(contents_mg), stdev(contents_mg) if len(contents_mg) > 1 else math.nan
