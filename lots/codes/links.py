"""Web addresses of packs, and the code in whatever a scanner or a person sent.

A wedge scanner types what it reads through the keyboard layout of the computer, so an address can arrive with its
colon and slashes turned into other characters. The code stands at the end and holds only digits and capitals: the end
is what counts.
"""

from __future__ import annotations

import re
from collections.abc import Iterator
from urllib.parse import urlsplit

from lots.codes.errors import CodeError
from lots.codes.lots import parse_lot_code
from lots.codes.packs import PACK_CODE_LENGTH, parse_pack_code
from lots.codes.signs import fold, is_separator

PACK_PATH = "/p/"
SCAN_MAX = 512
# What a reader may put in front to name the kind of symbol, such as ]Q1.
_SYMBOLOGY = re.compile(r"\s*\][A-Za-z][0-9A-Za-z]")


def pack_address(base_url: str, code: str) -> str:
    """Return the web address of a pack: base, ``/p/``, folded code.

    Raises ``CodeError`` when the base is not an http or https address without query and fragment, or the code is no
    pack code.
    """
    parts = urlsplit(base_url)
    if parts.scheme not in {"http", "https"} or not parts.netloc or parts.query or parts.fragment:
        raise CodeError(f"“{base_url[:80]}” cannot carry pack addresses: it takes the form https://trace.example.")
    folded = parse_pack_code(code)
    if folded is None:
        raise CodeError(f"“{code[:40]}” is no pack code.")
    return f"{base_url.rstrip('/')}{PACK_PATH}{folded}"


def code_from_scan(text: str) -> str | None:
    """Return the folded pack or lot code in scanned or typed text, or None when there is none.

    Takes a bare code in any spelling, an address that ends in one (query and fragment are left out), and an address
    whose characters a keyboard layout changed. A pack code may have anything before it; a lot code, being short, must
    stand alone or begin where a part of the text begins.
    """
    if len(text) > SCAN_MAX:
        return None
    sent = _SYMBOLOGY.sub("", text, count=1) if text.lstrip()[:1] == "]" else text
    for piece in (re.split(r"[?#]", sent, maxsplit=1)[0], sent):
        code = _code_at_end(_without_tail_marks(piece))
        if code is not None:
            return code
    return None


def kind_of(text: str) -> str | None:
    """Return ``"pack"`` or ``"lot"`` for text in which ``code_from_scan`` finds such a code, else None."""
    code = code_from_scan(text)
    if code is None:
        return None
    return "pack" if len(code) == PACK_CODE_LENGTH else "lot"


def _code_at_end(piece: str) -> str | None:
    pack = parse_pack_code(fold(piece)[-PACK_CODE_LENGTH:])
    if pack is not None:
        return pack
    return next((code for part in _parts_at_end(piece) if (code := parse_lot_code(part)) is not None), None)


def _parts_at_end(piece: str) -> Iterator[str]:
    """Yield the pieces of text at the end that could be a lot code of their own, the largest first."""
    start = max((at + 1 for at, sign in enumerate(piece) if _is_boundary(sign)), default=0)
    yield piece[start:]
    if piece.lstrip()[:4].lower() == "http":
        # Under some layouts a slash arrives as a hyphen: then every separator may be where the code begins.
        yield from (piece[at + 1 :] for at in range(start, len(piece)) if is_separator(piece[at]))


def _is_boundary(sign: str) -> bool:
    return not sign.isalnum() and not is_separator(sign)


def _without_tail_marks(piece: str) -> str:
    end = len(piece)
    while end and (_is_boundary(piece[end - 1]) or is_separator(piece[end - 1])):
        end -= 1
    return piece[:end]
