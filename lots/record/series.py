"""Series of packs by the code that was scanned, for every act that speaks of packs."""

from __future__ import annotations

from django.utils.translation import gettext as _

from lots.models import PackedUnit
from lots.record.errors import Refused
from lots.record.lines import find_lot


def find_series(code: str, field: str = "lot") -> PackedUnit:
    """Return the series of a scanned lot of packs, or refuse with a sentence."""
    lot = find_lot(code, field)
    unit = PackedUnit.objects.select_related("lot__step", "product").filter(lot=lot).first()
    if unit is None:
        raise Refused(_("Lot %(lot)s is not a lot of packs. Scan a pack or the label of its case.") % {"lot": lot}, field)
    return unit
