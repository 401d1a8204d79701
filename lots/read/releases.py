"""Decisions on lots: released or not, for which markets, on which results; and what the house asks before a release."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

from lots.models import DecisionGround, Lot, LotDecision, PackedUnit, Party, ReleaseRule, Step
from lots.quality.limits import folded
from lots.read.lot_life import badges_of
from lots.read.registers import in_force
from lots.read.results import standing_steps
from lots.read.sourcing import fed, runs_of, steps_of_runs

EVERY_MARKET = "ALL"
RELEASE, REFUSE, CONFIRM = "release", "refuse", "confirm"


@dataclass(frozen=True, slots=True)
class Decision:
    """One decision as it stands: ``badge`` decided, ``second`` confirmed (empty: nobody yet). ``stale``: a result that it
    names was taken back since."""

    row: LotDecision
    badge: str
    second: str
    grounds: tuple[DecisionGround, ...]
    stale: bool = False

    @property
    def part(self) -> str:
        """Released or refused."""
        return self.row.step.part

    @property
    def counts(self) -> bool:
        """Whether it counts: its results stand, and one person is enough or the second has confirmed."""
        return not self.stale and (not self.row.needs_second or bool(self.second))

    @property
    def markets(self) -> tuple[str, ...]:
        """The markets for which it was taken."""
        return tuple(market for market in self.row.markets.split("; ") if market)

    def is_for(self, market: str) -> bool:
        """Tell whether it speaks of a market; a rule for all markets is content with any."""
        return market == EVERY_MARKET or folded(market) in {folded(one) for one in self.markets}


def decisions_of(lots: Iterable[int]) -> list[Decision]:
    """Return the standing decisions on some lots, in order of record."""
    found = LotDecision.objects.filter(standing_steps("releasing"), lot__in=list(lots))
    rows = list(found.select_related("step__entry", "lot").order_by("pk"))
    badges = badges_of(row.step.entry_id for row in rows)
    seconds = {row.confirms_id: badges.get(row.step.entry_id, "") for row in rows if row.step.part == CONFIRM}
    grounds: dict[int, list[DecisionGround]] = {}
    named = DecisionGround.objects.filter(step__in=[row.pk for row in rows]).select_related("limit", "result__labresult__lot")
    for ground in named.order_by("pk"):
        grounds.setdefault(ground.step_id, []).append(ground)
    gone = set(Step.objects.filter(corrects__stage="testing", part="reverse").values_list("corrects_id", flat=True))
    return [
        Decision(
            row, badges.get(row.step.entry_id, ""), seconds.get(row.pk, ""), tuple(grounds.get(row.pk, ())),
            stale=any(ground.result_id in gone for ground in grounds.get(row.pk, ())),
        )
        for row in rows if row.step.part != CONFIRM
    ]


def state_of(lot: int, market: str = EVERY_MARKET) -> str:
    """Return how a lot stands for a market: "release", "refuse", "" where nobody has decided, by the last word that counts."""
    told = [d for d in decisions_of([lot]) if (d.counts and d.is_for(market)) or d.part == REFUSE]
    return told[-1].part if told else ""


def is_released(unit: PackedUnit, market: str) -> bool:
    """Tell whether packs are released: their own lot, or every lot that they were filled from."""
    own = state_of(unit.lot_id, market)
    if own:
        return own == RELEASE
    sources = [lot for lot, _step in fed(steps_of_runs(runs_of([unit.step_id]).values()))]
    return bool(sources) and all(state_of(lot, market) == RELEASE for lot in sources)


def rules_for(markets: Iterable[str]) -> list[ReleaseRule]:
    """Return what the house asks for some markets: their own rules, and the one for all."""
    wanted = {folded(EVERY_MARKET), *(folded(market) for market in markets)}
    return [rule for rule in in_force(ReleaseRule) if folded(rule.code) in wanted]


def rules_before_dispatch(party: Party) -> list[ReleaseRule]:
    """Return the rules under which nothing goes to a party before it is released."""
    rows = in_force(ReleaseRule).filter(before_dispatch=True)
    return [rule for rule in rows if not rule.consignees or party.code in rule.consignees.split()]


def waiting_for_second() -> list[Decision]:
    """Return the decisions that wait for a second person, the oldest first."""
    lots = LotDecision.objects.filter(standing_steps("releasing"), needs_second=True).values_list("lot_id", flat=True).distinct()
    return [d for d in decisions_of(lots) if d.row.needs_second and not d.second and not d.stale]


def lot_names(lots: Iterable[int]) -> dict[int, str]:
    """Return lots by what people call them."""
    return {lot.pk: str(lot) for lot in Lot.objects.filter(pk__in=list(lots))}
