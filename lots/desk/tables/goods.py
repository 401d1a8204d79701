"""The list of deliveries."""

from __future__ import annotations

import datetime as dt
from dataclasses import dataclass

from django.utils.translation import gettext_lazy as _

from lots.desk.goods_words import label_said, outcome, state_said
from lots.desk.tables.base import CodeColumn, KgColumn, LabelledColumn, LedgerTable, MomentColumn, WordColumn
from lots.desk.tables.lots import MaterialColumn
from lots.desk.ways import way
from lots.desk.words import printed
from lots.read.receiving import Delivery


@dataclass(frozen=True, slots=True)
class DeliveryRow:
    """One delivery as the list shows it."""

    at: dt.datetime
    supplier: str
    material: str
    lot: str | None
    code: str
    supplier_lot: str
    mass_mg: int | None
    stated_mg: int | None
    paper: str
    label: str
    state: str
    certificate: str
    outcome: str
    why: str


def delivery_row(one: Delivery) -> DeliveryRow:
    """Return a delivery in words."""
    return DeliveryRow(
        one.at, one.supplier, one.material, one.lot.name if one.lot else None, one.lot.code if one.lot else "",
        printed(one.supplier_lot), one.mass_mg, one.stated_mg, one.paper, label_said(one), state_said(one.state) if one.state else "",
        one.certificate, outcome(one), one.why,
    )


class DeliveryTable(LedgerTable):
    """Deliveries as they came."""

    at = MomentColumn(verbose_name=_("Came"))
    supplier = WordColumn(verbose_name=_("From"))
    material = MaterialColumn(verbose_name=_("Material"))
    lot = CodeColumn(verbose_name=_("Lot"), default="", linkify=lambda record: way("lot", record.code) if record.code else None)
    supplier_lot = LabelledColumn(verbose_name=_("Lot of the supplier"), default="")
    mass_mg = KgColumn(verbose_name=_("kg weighed"), places=2, default="")
    stated_mg = KgColumn(verbose_name=_("kg on paper"), places=2, default="")
    paper = LabelledColumn(verbose_name=_("Paper"))
    label = WordColumn(verbose_name=_("Label"), default="")
    state = LabelledColumn(verbose_name=_("Bought as"), default="")
    certificate = LabelledColumn(verbose_name=_("Certificate"), default="")
    outcome = LabelledColumn(verbose_name=_("What became of it"))
    why = WordColumn(verbose_name=_("Why"), default="")

    caption = _("Deliveries")
