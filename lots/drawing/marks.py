"""The four verdict marks: told apart by outline alone, and never shown without their word."""

from __future__ import annotations

from types import MappingProxyType

from lots.drawing.svg import escape, num, path, tag
from lots.trade.weighing import Verdict

#: Outlines on a grid of 24 units.
PATHS = MappingProxyType({
    Verdict.ADDS_UP: "M9.5 1.29A11 11 0 1 0 14.5 1.29V9.5H9.5Z",
    Verdict.LOOK: "M12 .8 23.7 22.5H15.6L12 15 8.4 22.5H.3Z",
    Verdict.STOP: "M1.5 1.5H22.5V9H16V15H22.5V22.5H1.5V15H8V9H1.5Z",
    Verdict.CANNOT: "M10.2 1.1A11 11 0 0 0 10.2 22.9V18.3A6.6 6.6 0 0 1 10.2 5.7Z"
                    "M13.8 1.1A11 11 0 0 1 13.8 22.9V18.3A6.6 6.6 0 0 0 13.8 5.7Z",
})
CLASSES = MappingProxyType({
    Verdict.ADDS_UP: "v-closed", Verdict.LOOK: "v-look", Verdict.STOP: "v-stop", Verdict.CANNOT: "v-none",
})


def mark(verdict: Verdict) -> str:
    """The mark as an svg of its own, hidden from readers aloud: the word beside it speaks."""
    return tag("svg", tag("path", d=PATHS[verdict]), class_=f"mark {CLASSES[verdict]}", viewBox="0 0 24 24", aria_hidden="true")


def mark_with_word(verdict: Verdict, word: str) -> str:
    """The mark with its word (translated by the caller), as it stands in a sentence or a table."""
    picture = tag("svg", tag("path", d=PATHS[verdict]), viewBox="0 0 24 24", aria_hidden="true")
    return tag("span", picture, tag("b", escape(word)), class_=f"v {CLASSES[verdict]}")


def mark_at(verdict: Verdict, x: float, y: float, size: float) -> str:
    """The mark inside another drawing, in ink, its upper left corner at (x, y), ``size`` drawing units wide."""
    return path(PATHS[verdict], "ink", transform=f"translate({num(x)} {num(y)}) scale({num_scale(size)})")


def num_scale(size: float) -> str:
    """The factor that brings the grid of 24 units to ``size``."""
    return f"{size / 24:.3f}"
