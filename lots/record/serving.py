"""An order is served with what it asks for, and not with more."""

from __future__ import annotations

from collections import Counter

from django.utils.translation import gettext as _

from lots.models import PackMove, SalesOrder
from lots.read.ordering import orders_now
from lots.record.errors import Refused
from lots.record.writing import Writing


def ask_for_no_more(w: Writing, order: SalesOrder) -> None:
    """Refuse packs of a product that the order does not ask for, and more than are still to go."""
    now = orders_now([order])[0]
    going: Counter[str] = Counter()
    for move in w.rows_of(PackMove):
        going[move.unit.product.code] += move.pack_count
    for product, count in going.items():
        line = now.line(product)
        if line is None:
            msg = _("Order %(order)s does not ask for %(product)s. Send it without the order, or take it off the list.")
            raise Refused(msg % {"order": now.name, "product": product}, "packs")
        if count > line.open_count:
            msg = _("Order %(order)s asks for %(asked)s of %(product)s; %(gone)s have gone, and %(count)s more were scanned.")
            words = {"order": now.name, "asked": line.asked_count, "product": product, "gone": line.gone_count, "count": count}
            raise Refused(msg % words, "packs")
