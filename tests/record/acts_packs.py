"""Acts about packs beside their filling, for the random history: check-weighing, and a place for kept samples."""

from __future__ import annotations

from typing import TYPE_CHECKING

from lots.models import Hold
from lots.record import checkweighing, keeping

if TYPE_CHECKING:
    from tests.record.random_acts import RandomHistory

WEIGHED = 12


def check_weigh(history: RandomHistory) -> None:
    """A dozen packs of some series, now and then short: then the book holds the series."""
    packs = [lot for lot in history.mill.lots.values() if lot.packs and not lot.packs.retained and not lot.packs.void and not lot.step.gone]
    packs = [lot for lot in packs if lot.packs.last_no - lot.packs.first_no + 1 >= WEIGHED]
    if not packs or len(history.mill.holds) >= 3:
        return
    lot, short = history.dice.choice(packs), history.chance(0.1)
    readings = [history.dice.randint(30_000, 30_400) for _ in range(WEIGHED - 1)]
    receipt = history.do(checkweighing.weigh, lot=lot.code, readings_mg=[20_000 if short else 30_100, *readings], scale="S3")
    if receipt and short:
        history.mill.holds[Hold.objects.get(entry=receipt.seq).pk] = lot


def place_samples(history: RandomHistory) -> None:
    """Kept samples of some run find their place."""
    kept = [lot for lot in history.mill.lots.values() if lot.packs and lot.packs.retained and not lot.packs.void and not lot.step.gone]
    if kept:
        history.do(keeping.place, lot=history.dice.choice(kept).code, place=f"Shelf {history.dice.randint(1, 9)}")
