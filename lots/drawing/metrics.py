"""How much room words take: an upper bound, so that labels laid out here never overlap in a reader's own face."""

from __future__ import annotations

import re
import unicodedata
from collections.abc import Iterator

# Advance widths in hundredths of an em: for each sign the widest of three bold faces of the look's list of faces, measured
# from the font files and rounded up to the next four. Regular cuts and the serif cuts for stage names are no wider.
_TABLE = {
    32: "i ", 36: "',.:;l", 40: "!j", 44: "I|", 48: "-", 52: "()*/\\frt", 56: "[]{}", 60: '"J^_sz', 64: "1L`vx", 68: "Facgky~",
    72: "ETeo", 76: "023456789KPRSVYZbdhnpqu", 80: "$?AB", 84: "+<=>CHNX\u2212", 88: "DGOU", 92: "&Qw", 96: "#", 100: "%MWm", 104: "@",
}
_EM = {sign: hundredths / 100 for hundredths, signs in _TABLE.items() for sign in signs} | {"\u00a0": 0.34}
_WIDE = {"F", "W", "A"}
_BLANKS = " \t\n"
_NOT_FIRST = set("、。，．・：；？！）」』】〕ー々％℃)]},.;:!?%")
_PIECE = re.compile(r"[^ \t\n]*?(?:-(?=\S)|[ \t\n]+|$)|[^ \t\n]+")


def sign_em(sign: str) -> float:
    """Upper bound of the advance width of one sign, in em."""
    if sign in _EM:
        return _EM[sign]
    if unicodedata.combining(sign):
        return 0.0
    kind = unicodedata.east_asian_width(sign)
    return 1.04 if kind in _WIDE else 0.52 if kind == "H" else 0.84


def width(words: str, size: float = 15) -> float:
    """Upper bound of the width of ``words`` in drawing units at the type size ``size`` (also drawing units)."""
    return sum(sign_em(sign) for sign in words) * size


def _is_han(sign: str) -> bool:
    return unicodedata.east_asian_width(sign) in {"W", "F"}


def _pieces(words: str) -> Iterator[str]:
    """Parts between which a line may break: after a blank or a hyphen, and between full-width signs."""
    for match in _PIECE.finditer(words):
        piece = ""
        for sign in match.group():
            if piece and (_is_han(sign) or _is_han(piece[-1])) and sign not in _NOT_FIRST:
                yield piece
                piece = ""
            piece += sign
        if piece:
            yield piece


def _broken(piece: str, room: float, size: float) -> Iterator[str]:
    """A piece that is wider than the line, cut where the line is full."""
    part = ""
    for sign in piece:
        if part and width(part + sign, size) > room:
            yield part
            part = ""
        part += sign
    yield part


def _fitting(words: str, room: float, size: float) -> Iterator[str]:
    for piece in _pieces(words):
        yield from _broken(piece, room, size) if width(piece.rstrip(_BLANKS), size) > room else (piece,)


def wrap(words: str, room: float, size: float = 15, limit: int = 3) -> tuple[str, ...]:
    """Lines of at most ``room`` drawing units; more than ``limit`` lines end in an ellipsis. Empty words give no line."""
    lines: list[str] = []
    line = ""
    for piece in _fitting(words.strip(_BLANKS), room, size):
        if line and width((line + piece).rstrip(_BLANKS), size) > room:
            lines.append(line.rstrip(_BLANKS))
            line = piece.lstrip(_BLANKS)
        else:
            line += piece
    if line.strip(_BLANKS):
        lines.append(line.rstrip(_BLANKS))
    return tuple(lines) if len(lines) <= limit else (*lines[:limit - 1], _cut(lines[limit - 1], room, size))


def _cut(line: str, room: float, size: float) -> str:
    while line and width(line + "…", size) > room:
        line = line[:-1]
    return line.rstrip(_BLANKS) + "…"


def longest(lines: tuple[str, ...], size: float = 15) -> float:
    """Upper bound of the width of the widest line, in drawing units (0 for no line)."""
    return max((width(line, size) for line in lines), default=0.0)
