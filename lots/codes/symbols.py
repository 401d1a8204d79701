"""The modules of a QR symbol (ISO/IEC 18004), as rows of true for dark; how they are drawn is not decided here."""

from __future__ import annotations

import re

import qrcode
from qrcode.constants import ERROR_CORRECT_M
from qrcode.exceptions import DataOverflowError

from lots.codes.errors import CodeError
from lots.codes.packs import PACK_CODE_LENGTH
from lots.codes.signs import SIGNS

_PACK_ADDRESS = re.compile(rf"(?i:https?://[a-z0-9.-]+(?::[0-9]+)?/p/)[{SIGNS}]{{{PACK_CODE_LENGTH}}}")


def symbol_text(text: str) -> str:
    """Return the text that the symbol of ``text`` carries: a pack address in capitals, anything else as it is.

    Capitals, digits and ``:/.-`` take 5.5 bits each in a QR symbol instead of 8, which saves a size. Scheme and host
    mean the same in either case by RFC 3986, section 6.2.2.1; the one path word of ours must be served as ``/P/``
    too. An address with a path of its own before ``/p/`` stays as it is, because that path may tell capitals apart.
    """
    return text.upper() if _PACK_ADDRESS.fullmatch(text) else text


def qr_modules(text: str) -> tuple[tuple[bool, ...], ...]:
    """Return the square of modules for ``symbol_text(text)``, error correction M (about 15 %), without quiet zone.

    A drawing must leave 4 modules of white on every side. Raises ``CodeError`` for empty text and for more text than
    the largest symbol holds.
    """
    if not text:
        raise CodeError("A symbol needs some text to carry.")
    maker = qrcode.QRCode(error_correction=ERROR_CORRECT_M, border=0)
    maker.add_data(symbol_text(text))
    try:
        maker.make(fit=True)
    except (DataOverflowError, ValueError) as fault:
        raise CodeError(f"{len(text)} characters are more than one symbol can carry.") from fault
    return tuple(tuple(bool(module) for module in row) for row in maker.modules)
