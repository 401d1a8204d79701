"""The moisture of lots that were brought together and not measured again: the mean of theirs by mass."""

from __future__ import annotations

import math
from collections.abc import Sequence
from decimal import Decimal
from typing import Any

from lots.models import Flow
from lots.record.lines import MOISTURE_PLACES, Lines, Moisture, common_moisture


def moisture_together(lines: Lines, material: str, given: Moisture | None, fed: Sequence[Flow]) -> dict[str, Any]:
    """Return the moisture fields of what came of several draws: measured, shared by all, or worked out from theirs."""
    return lines.wet(material, given) or common_moisture(list(fed)) or mean_moisture(lines, fed)


def mean_moisture(lines: Lines, fed: Sequence[Flow]) -> dict[str, Any]:
    """Return the mean by mass, so that no dry mass comes or goes; nothing where one of them is not known."""
    total = sum(flow.mass_mg for flow in fed)
    known = [(flow.mass_mg, flow.moisture_frac, flow.u_moisture_frac) for flow in fed]
    if total <= 0 or any(frac is None for _mass, frac, _u in known):
        return {}
    mean = sum(mass * Decimal(frac or 0) for mass, frac, _u in known) / total
    u_frac = math.sqrt(sum((mass * float(u or 0)) ** 2 for mass, _frac, u in known)) / total
    return {
        "moisture_frac": mean.quantize(MOISTURE_PLACES), "u_moisture_frac": Decimal(str(u_frac)).quantize(MOISTURE_PLACES),
        "moisture_how": Flow.How.TAKEN_OVER, "sample": f"{lines.writing.seq}.mean",
    }
