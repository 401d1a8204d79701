"""Labels of cases, and of orders that are to be picked: on the same sheets as those of packs and lots."""

from __future__ import annotations

from collections.abc import Sequence

from django.utils.translation import gettext as _
from django.utils.translation import pgettext

from lots.dossier import words
from lots.dossier.label_sheet import Label, refuse_many, sheets
from lots.read.cases import Cased
from lots.read.names import opened
from lots.read.ordering import OrderNow


def case_sheet(cases: Sequence[Cased], begin_at: int = 1) -> bytes:
    """Return one label for each case as PDF. Raises PaperFault."""
    refuse_many(len(cases))
    return sheets(_("Labels of cases"), [case_label(one) for one in cases], begin_at)


def case_label(one: Cased) -> Label:
    """Return the label of one case; its symbol carries the code without the hyphen."""
    kind = (words.language() == "ja" and one.kind_ja) or one.kind
    lines = (
        kind, _("%(count)s packs") % {"count": words.count(one.pack_count)}, _("Lot %(lot)s") % {"lot": one.lot},
        _("Closed %(day)s") % {"day": words.mill_day(one.closed_at)},
    )
    return Label(one.code, pgettext("a box of packs", "Case"), words.lot_code(one.code), lines)


def order_sheet(orders: Sequence[OrderNow], begin_at: int = 1) -> bytes:
    """Return one label for each order as PDF, to be scanned where it is packed. Raises PaperFault."""
    names = opened(order.ship_to_name for order in orders)
    return sheets(_("Labels of orders"), [order_label(one, names.get(one.ship_to_name, one.ship_to)) for one in orders], begin_at)


def order_label(one: OrderNow, ship_to: str) -> Label:
    """Return the label of one order: for whom, what is to go, until when."""
    asked = tuple(f"{words.count(line.open_count)} × {line.product}" for line in one.lines if line.open_count)
    wanted = (_("Wanted on %(day)s") % {"day": words.day(one.wanted_on)},) if one.wanted_on else ()
    return Label(one.code, _("Order"), words.lot_code(one.code), (ship_to, *asked[:2], *wanted))
