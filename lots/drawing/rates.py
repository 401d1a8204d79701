"""Grams per hour of a stone pair over the hours since its dressing, with its own usual rate and the two limits."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from math import ceil, floor, isfinite, log10

from lots.drawing.metrics import width as words_width
from lots.drawing.ribbons import d
from lots.drawing.svg import path, picture, tag, text
from lots.drawing.words import figure

_SMALL = 13.0
_TOP, _FOOT, _LINE = 28.0, 44.0, 17.0


@dataclass(frozen=True, slots=True)
class RateWords:
    """The words of the chart: ``title`` is one sentence that says what it shows."""

    title: str
    unit: str = "g/h"
    hours: str = "hours since dressing"
    usual: str = "usual {rate}"
    look: str = "look {rate}"
    dress: str = "dress {rate}"
    last: str = "last {rate}"
    none: str = "No run since the dressing."


@dataclass(frozen=True, slots=True)
class Axis:
    """A stretch of values on a stretch of drawing units."""

    low: float
    high: float
    start: float
    end: float
    step: float

    def at(self, value: float) -> float:
        """The place of a value, in drawing units."""
        return self.start + (value - self.low) / (self.high - self.low) * (self.end - self.start)

    def ticks(self) -> list[float]:
        """Round values on the axis."""
        return [self.low + i * self.step for i in range(round((self.high - self.low) / self.step) + 1)]


def axis(values: Sequence[float], start: float, end: float, most_steps: int) -> Axis:
    """An axis with round ends around ``values`` and at most ``most_steps`` steps of 1, 2 or 5."""
    low, high = min(values, default=0.0), max(values, default=1.0)
    if high - low < 1e-9:
        low, high = low - 1, high + 1
    rough = (high - low) / most_steps
    base = 10.0 ** floor(log10(rough))
    for step in (m * base for m in (1, 2, 5, 10, 20)):
        first, last = floor(low / step + 1e-9) * step, ceil(high / step - 1e-9) * step
        if round((last - first) / step) <= most_steps:
            break
    return Axis(first, last, start, end, step)


@dataclass(frozen=True, slots=True)
class _Level:
    """A level line with its words: the value, the class of its stroke (empty: no line) and of its words."""

    rate_g_per_h: float
    words: str
    stroke: str
    words_class: str


def _levels(points: Sequence[tuple[float, float]], base: float | None, look_at: float | None, dress_at: float | None,
            words: RateWords) -> list[_Level]:
    known = [
        _Level(rate, pattern.format(rate=figure(rate, 1)), stroke, "t-s")
        for rate, pattern, stroke in ((base, words.usual, "ln1"), (look_at, words.look, "usual"), (dress_at, words.dress, "miss"))
        if rate is not None and isfinite(rate)
    ]
    last = [_Level(points[-1][1], words.last.format(rate=figure(points[-1][1], 1)), "", "t-b")] if points else []
    return known + last


def spread(wishes: Sequence[float], apart: float, low: float, high: float) -> list[float]:
    """Heights as near to ``wishes`` as can be, in their order, at least ``apart`` from each other, from ``low`` to ``high``
    where they fit."""
    order = sorted(range(len(wishes)), key=lambda i: wishes[i])
    places = [0.0] * len(wishes)
    floor_ = low
    for i in order:
        places[i] = max(wishes[i], floor_)
        floor_ = places[i] + apart
    ceiling = high
    for i in reversed(order):
        places[i] = min(places[i], ceiling)
        ceiling = places[i] - apart
    return places


def _level_lines(levels: Sequence[_Level], x: Axis, y: Axis) -> str:
    """Level lines with their words to the right; a word that had to move is tied to its line."""
    places = spread([y.at(v.rate_g_per_h) for v in levels], _LINE, _TOP, y.start - 4)
    out = ""
    for level, place in zip(levels, places, strict=True):
        at = y.at(level.rate_g_per_h)
        if level.stroke:
            out += path(d("M", x.start, at, "H", x.end), level.stroke)
        out += path(d("M", x.end + 1, at, "L", x.end + 9, place), "ln1") + text(x.end + 13, place + 4.5, level.words, level.words_class)
    return out


def _axes(x: Axis, y: Axis, words: RateWords, edge: float) -> str:
    rules = "".join(path(d("M", x.start, y.at(v), "H", x.end), "gl") for v in y.ticks())
    decimals = 0 if y.step >= 1 else 1
    rates = "".join(text(x.start - 6, y.at(v) + 4.5, figure(v, decimals), "t-s", "end") for v in y.ticks())
    hours = "".join(text(x.at(v), y.start + 17, figure(v, 0), "t-s", "middle") for v in x.ticks())
    base = path(d("M", x.start, y.start, "H", x.end), "ln")
    names = text(0, 13, words.unit, "t-s") + text(min(x.start, max(0.0, edge - words_width(words.hours, _SMALL))), y.start + 36,
                                                  words.hours, "t-s")
    return rules + rates + hours + base + names


def _runs(points: Sequence[tuple[float, float]], x: Axis, y: Axis) -> str:
    """Each run as a dot, joined in the order of the hours; the last one is larger."""
    places = [(x.at(h), y.at(r)) for h, r in points]
    line = path(d(*(part for i, (px, py) in enumerate(places) for part in ("M" if i == 0 else "L", px, py))), "ln1")
    last = len(places) - 1
    return line + "".join(tag("circle", class_="ink", cx=px, cy=py, r=4.5 if i == last else 2.4) for i, (px, py) in enumerate(places))


def rate_chart(
    points: Sequence[tuple[float, float]], base: float | None, look_at: float | None, dress_at: float | None, prefix: str, *,
    words: RateWords, described_by: str = "", width: float = 340.0,
) -> str:
    """Runs of one pair since its last dressing as (hours since dressing, grams per hour).

    ``base`` is the pair's own usual rate, ``look_at`` and ``dress_at`` the limits, all in g/h (None: not known yet). At
    ``width`` 340 the type is 12 px or more on a phone; use 680 for a desk. Raises ValueError for a bad ``prefix``.
    """
    runs = sorted((h, r) for h, r in points if isfinite(h) and isfinite(r))
    levels = _levels(runs, base, look_at, dress_at, words)
    high = 210.0 if width < 600 else 280.0
    right = max((words_width(v.words, _SMALL if v.words_class == "t-s" else 15) for v in levels), default=0.0) + 16
    y = axis([v.rate_g_per_h for v in levels] + [r for _, r in runs], high - _FOOT, _TOP, 5)
    left = max(words_width(figure(v, 0 if y.step >= 1 else 1), _SMALL) for v in y.ticks()) + 8
    x = axis([0.0, *(h for h, _ in runs)] if runs else [0.0, 100.0], left, width - right, 4 if width < 600 else 8)
    inside = _axes(x, y, words, width) + _level_lines(levels, x, y)
    inside += _runs(runs, x, y) if runs else text(left + 8, _TOP + 20, words.none, "t-s")
    return picture(inside, view=(0, 0, width, high), class_="chart" if width < 600 else "chart wide", prefix=prefix,
                   title=words.title, described_by=described_by)
