"""The live balance as two lengths, what went in above what came out: no verdict, only more or less."""

from __future__ import annotations

from lots.drawing.ribbons import d
from lots.drawing.svg import escape, path, tag
from lots.drawing.words import ENGLISH, Words

_SPAN = 1000.0


def _bar(share_frac: float, class_: str, tick_frac: float | None) -> str:
    bar = tag("rect", class_=class_, width=_SPAN * share_frac, height=20.0, vector_effect="non-scaling-stroke")
    at = _SPAN * tick_frac if tick_frac is not None else None
    tick = path(d("M", at, 0.0, "V", 20.0), "ln", vector_effect="non-scaling-stroke") if at is not None else ""
    return tag("svg", bar + tick, viewBox=f"0 0 {_SPAN:g} 20", preserveAspectRatio="none")


def lengths_svg(in_mg: float, out_mg: float, *, usual_mg: float | None = None, words: Words = ENGLISH) -> str:
    """Two bars for masses in mg dry, drawn to one length: the greater fills the width.

    ``usual_mg`` is what the stage usually loses: a tick on the upper bar shows how far the lower one usually comes. Hidden
    from readers aloud, because the sentence beside it says the same. Raises ValueError for a mass below zero.
    """
    if in_mg < 0 or out_mg < 0:
        raise ValueError("A length cannot be drawn for less than nothing.")
    whole = max(in_mg, out_mg)
    into, out = (in_mg / whole, out_mg / whole) if whole > 0 else (0.0, 0.0)
    tick = max(in_mg - usual_mg, 0.0) / whole if usual_mg is not None and whole > 0 else None
    rows = (tag("span", escape(words.goes_in_short)), _bar(into, "flow", tick),
            tag("span", escape(words.comes_out_short)), _bar(out, "ink", None))
    return tag("div", *rows, class_="lengths", aria_hidden="true")
