"""Days in tables of many columns."""

from __future__ import annotations

from lots.desk.tables.base import DayColumn


class ShortDayColumn(DayColumn):
    """A day within the year, without its weekday; the file has it whole."""

    tagged = '<time class="num" datetime="{{ value|date:"Y-m-d" }}">{{ value|date:"m-d" }}</time>'
