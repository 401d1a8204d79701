"""Forms of what is sold: a case is closed or opened, an order taken or cancelled."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from django.utils.translation import gettext
from django.utils.translation import gettext_lazy as _

from lots.desk.forms.base import ActForm
from lots.desk.forms.fields import CountField, ReasonField, ScanField
from lots.desk.forms.many import ManyScanField
from lots.desk.forms.packing import packs_of
from lots.desk.forms.plain import DayField, WordsField, pick
from lots.desk.forms.seldom import Folded
from lots.desk.forms.weighing import happened_field
from lots.models import Product


class CaseForm(ActForm):
    """Scan the packs of a case, or the smaller cases in it; or the label of the lot with the count behind it."""

    main_act = _("Close the case")
    usual_reasons = (_("The last case of the lot"), _("Counted again, the same"))

    scanned = ManyScanField(label=_("Scan the packs into the case"), counted=True, help_text=_(
        "One a line; each Enter adds one. Or the label of their lot and how many: K26-00012 12."
    ))
    happened_at = happened_field(_("When was it closed?"))

    def __init__(self, *args: Any, kinds: Sequence[tuple[str, Any]] = (), **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.fields["sales_unit"] = pick(_("What kind of case?"), kinds)
        self.order_fields(["scanned", "sales_unit"])


class CaseOpenForm(ActForm):
    """Open a case again."""

    main_act = _("Open it again")

    case = ScanField(label=_("Scan the label of the case"), kinds=("lot",))
    why = ReasonField(label=_("Why is it opened?"))
    happened_at = happened_field(_("When was it opened?"))


class OrderForm(Folded):
    """What a buyer wants: for each product a count of packs."""

    main_act = _("Take the order")
    seldom = {"bill_to": _("who pays"), "market": _("market")}

    wanted_on = DayField(label=_("Wanted on"), required=False)
    reference = WordsField(label=_("The buyer's own number"), max_length=40)
    market = WordsField(label=_("Market it is for"), max_length=60)
    happened_at = happened_field(_("When did it come?"))

    def __init__(
        self, *args: Any, consignees: Sequence[tuple[str, str]] = (), payers: Sequence[tuple[str, str]] = (),
        products: Sequence[Product] = (), **kwargs: Any,
    ) -> None:
        super().__init__(*args, **kwargs)
        self.products = list(products)
        for product in products:
            label = gettext("%(packs)s, how many") % {"packs": self.packs_words(product)}
            self.fields[f"count_{product.code}"] = CountField(label=label, most=1_000_000, required=False)
        self.fields["ship_to"] = pick(_("Who gets it?"), consignees)
        self.fields["bill_to"] = pick(_("Who pays, if somebody else"), payers, required=False)
        self.order_fields([*self.unmarked, "ship_to", "wanted_on", "reference", "bill_to", "market"])

    @property
    def unmarked(self) -> list[str]:
        """What nobody ordered stays empty."""
        return [f"count_{product.code}" for product in self.products]

    def packs_words(self, product: Product) -> str:
        """Return packs by kind and net content; by name where two products would read alike."""
        alike = [p for p in self.products if (p.kind, p.net_mg) == (product.kind, product.net_mg)]
        return packs_of(product) if len(alike) == 1 else product.name

    @property
    def wanted(self) -> dict[str, int]:
        """The packs wanted by product."""
        counts = ((p.code, self.cleaned_data.get(f"count_{p.code}")) for p in self.products)
        return {code: count for code, count in counts if count}

    def clean(self) -> dict[str, Any]:
        """An order asks for something."""
        facts = super().clean()
        if not self.errors and not self.wanted:
            self.add_error(None, gettext("Nothing was ordered. How many packs of which product?"))
        return facts


class OrderCancelForm(ActForm):
    """Cancel what an order still asks for."""

    main_act = _("Cancel the rest of it")

    order = ScanField(label=_("Scan the order, or type its number"))
    why = ReasonField(label=_("Why is it cancelled?"))
    happened_at = happened_field(_("When was it cancelled?"))
