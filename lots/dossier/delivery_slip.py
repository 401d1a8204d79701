"""The delivery slip: what goes to the buyer with the packs, lot by lot, with everything that a later trace asks for."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from django.utils.text import capfirst
from django.utils.translation import gettext as _
from django.utils.translation import override

from lots.codes.symbols import qr_modules
from lots.dossier import words
from lots.dossier.faults import PaperFault
from lots.dossier.frames import framed, house_name
from lots.dossier.symbols import Symbol, SymbolFinisher
from lots.dossier.tables import file_name
from lots.models import House
from lots.read.delivery import Delivered, Delivery, Place
from lots.read.paper_heads import paper_head
from lots.trade.language import is_japanese
from lots.trade.units import number_text

#: Where the symbol of the first lot's code stands on the first sheet, as on a dossier.
SYMBOL = (167.0, 24.5, 29.0)


@dataclass(frozen=True, slots=True)
class SlipLine:
    """One lot on the slip: its code and reference, description, quantity, pack numbers, best before, organic words."""

    code: str
    name: str
    what: str
    variety: str
    quantity: str
    net: str
    numbers: str
    best: str
    organic: str


class DeliverySlip:
    """One slip in the language that is switched on. Raises PaperFault for a delivery that was taken back."""

    def __init__(self, delivery: Delivery) -> None:
        if not delivery.gone:
            raise PaperFault(_("This delivery was taken back: it did not happen, so it has no slip."))
        self.it = delivery
        self.house = paper_head()
        row = House.objects.order_by("-version").first()
        self.control_body = row.control_body if row else ""

    @property
    def title(self) -> str:
        """The title."""
        return _("Delivery slip %(number)s") % {"number": self.number}

    @property
    def number(self) -> str:
        """The document's number: the house's own, else that of the entry."""
        return self.it.document_no or _("of entry %(entry)s") % {"entry": words.count(self.it.entry)}

    @property
    def other_title(self) -> str:
        """The title in the other language."""
        with override(self.other_language):
            return self.title

    @property
    def other_language(self) -> str:
        """The language that the slip is not in."""
        return "en" if is_japanese(words.language()) else "ja"

    @property
    def left(self) -> str:
        """The day and time at which it left."""
        return words.moment_with_offset(self.it.happened_at)

    @property
    def from_words(self) -> str:
        """Where it left from: another place of the house, else the house with its address."""
        return _(", ").join(part for part in (self.it.ship_from, self.maker) if part)

    @property
    def maker(self) -> str:
        """Who gave the lots their codes: the house, its address, how to reach it."""
        return _(", ").join(part for part in (house_name(self.house), self.house.address, self.house.contact) if part)

    @property
    def to_words(self) -> str:
        """Who receives it, and where; a subscriber under his own name."""
        if self.it.parcel and self.it.recipient:
            return self.it.recipient
        return _(", ").join(part for part in (place_words(self.it.ship_to), self.it.recipient) if part)

    @property
    def payer(self) -> str:
        """Who pays: somebody else, or who receives it."""
        return place_words(self.it.bill_to) if self.it.bill_to else _("who receives it")

    @property
    def carrier(self) -> str:
        """The carrier and how to reach him."""
        return _(", ").join(part for part in (self.it.carrier, self.it.carrier_contact) if part)

    @property
    def temperature(self) -> str:
        """The temperature that was promised for the way."""
        least, most = (None if t is None else number_text(float(t), 1) for t in (self.it.least_c, self.it.most_c))
        if least and most:
            return _("%(least)s to %(most)s °C") % {"least": least, "most": most}
        if most:
            return _("%(most)s °C at most") % {"most": most}
        return _("%(least)s °C at least") % {"least": least} if least else ""

    @property
    def order(self) -> str:
        """The order that it serves, with the buyer's own number."""
        theirs = _("their number %(number)s") % {"number": self.it.order_reference} if self.it.order_reference else ""
        return _(", ").join(part for part in (words.lot_code(self.it.order_code), theirs) if part)

    @property
    def cases(self) -> str:
        """The codes of whole cases."""
        return _(", ").join(self.it.cases)

    @property
    def lines(self) -> list[SlipLine]:
        """The lots."""
        return [self.line(one) for one in self.it.lines]

    def line(self, one: Delivered) -> SlipLine:
        """Return one lot as printed."""
        name = (is_japanese(words.language()) and one.product_ja) or one.product
        organic = self.organic_words() if one.organic else ""
        quantity = _("%(count)s %(kind)s of %(net)s") % {
            "count": words.count(one.pack_count), "kind": words.kind_word(one.kind, one.pack_count), "net": words.net(one.net_mg),
        }
        what = _("%(product)s, organic") % {"product": capfirst(name)} if organic else capfirst(name)
        numbers = _(", ").join(f"{words.count(a)}–{words.count(b)}" if a != b else words.count(a) for a, b in one.numbers)
        return SlipLine(
            words.lot_code(one.lot_code), one.lot, what, _(", ").join(one.cultivars), quantity,
            words.mass(one.net_mg * one.pack_count), numbers or _("not written by number"), one.best_before_on.isoformat(), organic,
        )

    def organic_words(self) -> str:
        """Return what stands beside organic packs: that they are, and who controls it."""
        if self.control_body:
            return _("From organic farming. Control body: %(body)s.") % {"body": self.control_body}
        return _("From organic farming. The code of the control body is not in the book.")

    def pdf(self) -> bytes:
        """Return the slip. Raises PaperFault."""
        x_mm, y_mm, size_mm = SYMBOL
        lots: Sequence[Delivered] = self.it.lines
        symbols = [Symbol(x_mm, y_mm, size_mm, qr_modules(lots[0].lot_code))] if lots else []
        return framed("paper/delivery.html", self.title, self.house, {"slip": self}, SymbolFinisher({0: symbols}))

    def file_name(self) -> str:
        """Return the file's name."""
        return f"{file_name('delivery', self.it.document_no or str(self.it.entry), words.language())}.pdf"


def place_words(place: Place) -> str:
    """Return a party with its address and how to reach it."""
    return _(", ").join(part for part in (place.name or place.code, place.address, place.contact) if part)
