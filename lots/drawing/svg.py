"""Helpers that write SVG as text: elements, escaped words, paths and numbers. Every other file here writes through these."""

from __future__ import annotations

import re
from html import escape as _escape
from typing import TypeAlias

_ID = re.compile(r"[A-Za-z][\w-]*")
_NOT_XML = re.compile(r"[\x00-\x08\x0b\x0c\x0e-\x1f\ud800-\udfff\ufffe\uffff]")
Value: TypeAlias = str | float | None


def escape(words: str) -> str:
    """Words made harmless inside an element or an attribute; signs that XML cannot carry are left out."""
    return _escape(_NOT_XML.sub("", words), quote=True)


def num(value: float) -> str:
    """A coordinate with at most two decimals, never minus zero."""
    written = f"{value:.2f}".rstrip("0").rstrip(".")
    return "0" if written == "-0" else written


def tag(name: str, *inside: str, **attributes: Value) -> str:
    """One element. ``class_`` becomes class, ``text_anchor`` becomes text-anchor; an attribute of None is left out.

    What stands ``inside`` is markup already; attribute values are escaped here.
    """
    written = "".join(
        f' {key.rstrip("_").replace("_", "-")}="{escape(value) if isinstance(value, str) else num(value)}"'
        for key, value in attributes.items() if value is not None
    )
    return f"<{name}{written}>{''.join(inside)}</{name}>" if inside else f"<{name}{written}/>"


def text(x: float, y: float, words: str, class_: str | None = None, anchor: str | None = None) -> str:
    """Words with their baseline at (x, y), escaped."""
    return tag("text", escape(words), class_=class_, x=x, y=y, text_anchor=anchor)


def path(d: str, class_: str, **attributes: Value) -> str:
    """A path with one class or several."""
    return tag("path", class_=class_, d=d, **attributes)


def rect(x: float, y: float, wide: float, high: float, class_: str) -> str:
    """A rectangle from its upper left corner."""
    return tag("rect", class_=class_, x=x, y=y, width=wide, height=high)


def checked_prefix(prefix: str) -> str:
    """The prefix of ids on this page. Raises ValueError when it could not open an id."""
    if not _ID.fullmatch(prefix):
        raise ValueError(f"The prefix {prefix!r} cannot open an id: it needs a letter first, then letters, figures, - or _.")
    return prefix


def hatch(prefix: str) -> str:
    """The pattern of by-products; its id is ``<prefix>-hatch``."""
    line = path("M0 0V7", "ln1")
    pattern = tag("pattern", line, id=f"{prefix}-hatch", width=7, height=7, patternUnits="userSpaceOnUse",
                  patternTransform="rotate(45)")
    return tag("defs", pattern)


def picture(inside: str, *, view: tuple[float, float, float, float], class_: str | None, prefix: str, title: str,
            described_by: str = "", role: str = "img", width: str | None = None) -> str:
    """The outer svg with its title (one sentence) and, where the caller names one, the id of its twin in words."""
    name = f"{checked_prefix(prefix)}-title"
    return tag("svg", tag("title", escape(title), id=name), inside, xmlns="http://www.w3.org/2000/svg", class_=class_,
               width=width, viewBox=" ".join(num(v) for v in view), role=role, aria_labelledby=name,
               aria_describedby=described_by or None)
