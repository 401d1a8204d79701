"""A laboratory, limits and results for the tests of what is tested and released."""

from __future__ import annotations

import datetime as dt
from decimal import Decimal
from typing import Any

from lots.models import Limit, Lot
from lots.read.results import results_of
from lots.record import testing
from lots.record.acts import Act, Receipt
from tests import factories as make

PAH = "benzo(a)pyrene"


def laboratory() -> None:
    """One laboratory, two markets, three limits; one of them only informs."""
    make.enter("party", "L1", name="Valley laboratory", roles="laboratory")
    limit("EU-BAP", PAH, "10.0", "ug/kg")
    limit("EU-PERC", "perchlorate", "0.75", "mg/kg")
    limit("JP-CS", "radiocaesium", "100", "Bq/kg", market="Japan")
    limit("ISO-ASH", "total ash", "8", "g/100 g", market="EU", basis="dry", informs=True)


def limit(code: str, parameter: str, value: str, unit: str, **more: Any) -> None:
    fields = {"market": "EU", "basis": "as sold", "bound": "at most", "clause": "Annex I", "read_in": "the register of laws", **more}
    make.enter("limit_row", code, parameter=parameter, value=value, unit=unit, **fields)


def facts(lot: Lot, value: str | None = "3", **more: Any) -> dict[str, Any]:
    """One result as a desk gives it."""
    return {
        "lot": lot.code, "laboratory": "L1", "method": "GC-MS", "parameter": PAH, "found": "value" if value else "below LOQ",
        "unit": "ug/kg", "basis": "as sold", "reported_on": dt.date.fromisoformat(str(make.today())),
        "value": Decimal(value) if value else None, "happened_at": make.next_moment(), **more,
    }


def report(lot: Lot, value: str | None = "3", badge: str = "A", why: str = "", **more: Any) -> Receipt:
    return testing.result(Act(badge, reason=why), **facts(lot, value, **more))


def named(lot: Lot) -> list[int]:
    """The results that a decision on a lot has to name."""
    return [row.pk for row in results_of(lot)]


def limits() -> list[str]:
    return list(Limit.objects.order_by("pk").values_list("code", flat=True))
