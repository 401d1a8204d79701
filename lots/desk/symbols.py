"""Pictures of codes: a browser that cannot read symbols itself sends frames here. Nothing is kept of them."""

from __future__ import annotations

import io

import zxingcpp
from django.http import HttpRequest, JsonResponse
from django.utils.translation import gettext as _
from django.views.decorators.http import require_POST
from PIL import Image, UnidentifiedImageError

SIDE_MOST = 4_096
CODES_MOST = 20


def codes_in(picture: bytes) -> list[str]:
    """Return the texts of the symbols in a picture; none for what is no picture, or one larger than a camera sends."""
    try:
        with Image.open(io.BytesIO(picture), formats=("JPEG", "PNG")) as opened:
            if max(opened.size) > SIDE_MOST:
                return []
            grey = opened.convert("L")
    except (UnidentifiedImageError, OSError, SyntaxError, ValueError, Image.DecompressionBombError):
        return []
    return [found.text for found in zxingcpp.read_barcodes(grey) if found.text][:CODES_MOST]


@require_POST
def read_symbol(request: HttpRequest) -> JsonResponse:
    """Answer the codes in a picture: ``{"codes": ["..."]}``."""
    if request.content_type not in {"image/jpeg", "image/png"}:
        return JsonResponse({"codes": [], "why": str(_("Send a picture."))}, status=415)
    return JsonResponse({"codes": codes_in(request.body)})
