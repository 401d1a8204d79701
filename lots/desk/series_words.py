"""A series of packs as the desk speaks of it after a pack or its lot was scanned."""

from __future__ import annotations

from django.utils.translation import gettext as _

from lots.desk.forms.fields import Scanned
from lots.desk.forms.packing import packs_of
from lots.desk.scanned import lot_of
from lots.desk.words import joined, language
from lots.models import PackedUnit
from lots.read.names import lot_name
from lots.trade.units import date_text, number_text


def series_of(scanned: Scanned | None) -> PackedUnit | None:
    """Return the series that was scanned; None where the scan names none."""
    lot = lot_of(scanned)
    return PackedUnit.objects.select_related("lot__step", "product").filter(lot=lot).first() if lot else None


def series_told(scanned: Scanned | None, unit: PackedUnit | None) -> str:
    """Return the sentence under a scan line that takes packs."""
    if scanned is None:
        return ""
    if unit is None:
        return _("%(code)s is no lot of packs. Scan a pack, or the lot on its case.") % {"code": scanned.typed}
    return series_sentence(unit)


def series_sentence(unit: PackedUnit) -> str:
    """Return a series in words: "K26-06: 948 tins of 30 g, packed 2026-07-30 (Thu)."."""
    kept = _("These are kept samples.") if unit.retained else ""
    said = _("%(lot)s: %(packs)s, %(count)s of them, packed %(day)s, best before %(until)s.") % {
        "lot": lot_name(unit.lot).name, "packs": packs_of(unit.product), "count": number_text(unit.pack_count, 0),
        "day": date_text(unit.packed_on, language()), "until": date_text(unit.best_before_on, language()),
    }
    return joined([said, kept])
