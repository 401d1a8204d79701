"""What is checked before a plot stands in the register: its outline, and whether the typed area goes with it."""

from __future__ import annotations

from decimal import Decimal
from typing import Any

from django.utils.translation import gettext as _

from lots.models import FieldPlot
from lots.quality.outlines import Corner, area_a, area_is_far_off, read_outline
from lots.read.names import opened
from lots.record.errors import Refused
from lots.record.words import language
from lots.record.writing import Writing
from lots.trade import language as trade


def plot_fields(w: Writing, code: str, fields: dict[str, Any]) -> dict[str, Any]:
    """Return the fields of a plot with the outline in one form. What is no outline is refused; an area that is far off the
    outline's is questioned, once for each outline and area."""
    typed = str(fields.get("outline") or "").strip()
    if not typed:
        return fields
    try:
        corners = read_outline(typed)
    except trade.Refused as fault:
        raise Refused(fault.text(language()), "outline") from fault
    plain = outline_text(corners)
    typed_a, outline_a = float(fields.get("area_a") or 0), area_a(corners)
    if typed_a and area_is_far_off(typed_a, outline_a) and not stands(code, plain, fields.get("area_a")):
        msg = _("The outline encloses %(outline)s a, and %(typed)s a is typed. Look at both again.")
        w.question(msg % {"outline": f"{outline_a:.1f}", "typed": f"{typed_a:.1f}"}, "area_a")
    return {**fields, "outline": plain}


def outline_text(corners: tuple[Corner, ...]) -> str:
    """Return corners as they are kept: one pair a line, seven decimals at most."""
    return "\n".join(f"{round(c.lat, 7)}, {round(c.lon, 7)}" for c in corners)


def stands(code: str, outline: str, area: Any) -> bool:
    """Tell whether the newest version of a plot has this outline and this area already."""
    last = FieldPlot.objects.filter(code=code).order_by("-version").first()
    if last is None or not last.outline or area is None:
        return False
    return opened([last.outline]).get(last.outline) == outline and last.area_a == Decimal(area)
