"""Room climate: temperature and humidity as read, or the rows of a logger as one act."""

from __future__ import annotations

import datetime as dt
from collections.abc import Sequence
from dataclasses import dataclass
from decimal import Decimal

from django.utils.translation import gettext as _

from lots.models import ClimateBand, ClimateReading, ClimateRow
from lots.record.acts import act
from lots.record.errors import Refused
from lots.record.writing import Writing

ROWS_MAX = 5_000
COLDEST_C, HOTTEST_C = Decimal(-40), Decimal(60)


@dataclass(frozen=True, slots=True)
class Reading:
    """One reading of a room: when (None: when the act happened), °C, share of saturation."""

    temperature_c: Decimal
    humidity_frac: Decimal
    read_at: dt.datetime | None = None


@act("climate.read")
def read(w: Writing, *, room: str, readings: Sequence[Reading], happened_at: dt.datetime | None = None) -> None:
    """Record readings of one room against its band."""
    band = w.in_force(ClimateBand, room, "rooms", "room")
    if not readings:
        raise Refused(_("No reading was typed."), "temperature_c")
    if len(readings) > ROWS_MAX:
        raise Refused(_("More than %(most)d rows at once. Send the logger's rows in parts.") % {"most": ROWS_MAX}, "logger")
    for reading in readings:
        must_be_air(reading)
    step = w.step("climate", "read", happened_at)
    rows = [row_of(w, step, band, reading) for reading in readings]
    outside = sum(row.outside for row in rows)
    w.add(ClimateReading(step=step, room=band, reading_count=len(rows), outside_count=outside))


def row_of(w: Writing, step: object, band: ClimateBand, reading: Reading) -> ClimateRow:
    """Add one reading."""
    at = reading.read_at or w.happened_at
    if at > w.now + dt.timedelta(minutes=5):
        raise Refused(_("A row of the logger has a time that has not come yet. Look at the clock of the logger."), "logger")
    t_c, frac = reading.temperature_c.quantize(Decimal("0.1")), reading.humidity_frac.quantize(Decimal("0.00001"))
    outside = not (band.least_c <= t_c <= band.most_c and band.least_rh_frac <= frac <= band.most_rh_frac)
    return w.add(ClimateRow(step=step, read_at=at, temperature_c=t_c, humidity_frac=frac, outside=outside))


def must_be_air(reading: Reading) -> None:
    """Refuse figures that are no air of a room."""
    if not COLDEST_C <= reading.temperature_c <= HOTTEST_C:
        msg = _("%(figure)s °C is no temperature of a room. Look at the figure again.")
        raise Refused(msg % {"figure": reading.temperature_c}, "temperature_c")
    if not 0 <= reading.humidity_frac <= 1:
        msg = _("%(figure)s %% is no humidity. Look at the figure again.")
        raise Refused(msg % {"figure": f"{reading.humidity_frac * 100:.1f}"}, "humidity")
