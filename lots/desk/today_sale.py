"""What is ordered and has not gone, and what came back and waits, as the first page says it."""

from __future__ import annotations

from django.utils.translation import gettext as _
from django.utils.translation import ngettext

from lots.desk.ordering import names_of, open_words
from lots.desk.saying import Said, short_day_text
from lots.desk.ways import way
from lots.read.ordering import OrderNow, open_orders
from lots.read.returns import waiting_count

SHOWN_MAX = 6


def sale_entries() -> list[Said]:
    """Return the open orders, the earliest wanted day first, then the returns that wait for quality."""
    orders = open_orders()
    names = names_of(orders)
    more = len(orders) - SHOWN_MAX
    rest = [Said(what=ngettext("%(count)d order more.", "%(count)d orders more.", more) % {"count": more},
                 href=way("dispatch-orders"), do=_("See the orders"))] if more > 0 else []
    return [*(order_entry(order, names) for order in orders[:SHOWN_MAX]), *rest, *return_entries()]


def order_entry(order: OrderNow, names: dict[str, str]) -> Said:
    """Return one open order."""
    return Said(
        what=_("%(order)s, %(who)s.") % {"order": order.name, "who": names[order.ship_to]}, sentence=open_words(order),
        side=short_day_text(order.taken_at), href=way("dispatch-order", order.code), do=_("Open the order"),
    )


def return_entries() -> list[Said]:
    """Return the returns that wait, as one entry."""
    count = waiting_count()
    if not count:
        return []
    sentence = ngettext("%(count)d return waits for the word of quality.", "%(count)d returns wait for the word of quality.", count)
    said = sentence % {"count": count}
    return [Said(what=_("Packs that came back."), sentence=said, href=way("dispatch-returns"), do=_("See the returns"))]
