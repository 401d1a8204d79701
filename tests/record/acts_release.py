"""Acts around a lot that move nothing, for the random history: results, tastings, complaints."""

from __future__ import annotations

from decimal import Decimal
from typing import TYPE_CHECKING, Any

from django.utils import timezone

from lots.models import Party
from lots.record import complaining, registers, tasting, testing
from lots.record.tasting import MARKED

if TYPE_CHECKING:
    from tests.record.random_acts import RandomHistory


def speak_of(history: RandomHistory) -> None:
    """Something is said of a lot: a result, a tasting, or a complaint."""
    if not history.mill.lots:
        return
    lot = history.dice.choice(list(history.mill.lots.values()))
    history.dice.choice((report, taste, complain))(history, lot.code)


def report(history: RandomHistory, lot: str) -> None:
    """A result; no limit stands in this book, so it stops nothing."""
    if not Party.objects.filter(code="L1").exists():
        history.do(registers.enter, table="party", code="L1", fields={"name": "Valley laboratory", "roles": "laboratory"})
    more: dict[str, Any] = {"found": "value", "value": Decimal(history.dice.randint(1, 99)) / 10}
    if history.chance(0.3):
        more = {"found": "below LOQ", "loq": Decimal("0.5")}
    history.do(
        testing.result, lot=lot, laboratory="L1", method="GC-MS", parameter=history.dice.choice(("lead", "cadmium")), unit="mg/kg",
        basis="as sold", reported_on=timezone.localtime(history.clock).date(), **more,
    )


def taste(history: RandomHistory, lot: str) -> None:
    """A tasting."""
    history.do(
        tasting.note, lot=lot, taster="C", tasted_on=timezone.localtime(history.clock).date(), blind=history.chance(0.5),
        marks={name: history.dice.randint(1, 5) for name in MARKED},
    )


def complain(history: RandomHistory, lot: str) -> None:
    """A complaint."""
    history.do(
        complaining.take, lot=lot, received_on=timezone.localtime(history.clock).date(), what="Lumps", seriousness="minor", contact="Haru Mori",
    )
