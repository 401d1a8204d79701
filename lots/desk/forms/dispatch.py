"""Going out: packs for one consignee under one document."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from django import forms
from django.utils.translation import gettext
from django.utils.translation import gettext_lazy as _

from lots.codes.sale import parse_order_code
from lots.desk.forms.many import ManyScanField, ScannedLine
from lots.desk.forms.plain import WordsField, pick
from lots.desk.forms.seldom import Folded
from lots.desk.forms.weighing import happened_field


def degrees(label: Any) -> forms.DecimalField:
    """Return a line for a temperature; below freezing too."""
    sentences = {
        "invalid": _("That is no temperature. Type it as 8 or −18.5."), "max_decimal_places": _("One decimal is enough."),
        "min_value": _("Nobody carries tea that cold."), "max_value": _("Nobody carries tea that warm."),
    }
    widget = forms.TextInput(attrs={"inputmode": "decimal", "autocomplete": "off"})
    return Degrees(label=label, required=False, min_value=-60, max_value=60, decimal_places=1, error_messages=sentences, widget=widget)


class Degrees(forms.DecimalField):
    """A temperature; the minus of print is read as the minus of keyboards."""

    def to_python(self, value: Any) -> Any:
        """Return the figure."""
        return super().to_python(str(value).strip().replace("−", "-").replace("℃", "") if value else value)


class DispatchForm(Folded):
    """Scan packs, or the label of a lot with how many or which numbers."""

    main_act = _("Send it out")
    seldom = {
        "recipient": _("person who receives it"), "bill_to": _("who pays"), "carrier_contact": _("how to reach the carrier"),
        "ship_from": _("place it left from"), "least_c": _("temperature promised"), "most_c": _("its upper end"),
    }

    packs = ManyScanField(
        label=_("Scan the order, then cases or packs"), counted=True, help_text=_(
            "One a line; each Enter adds one. Behind a lot's code stands how many, or which numbers: K26-00012 24, or "
            "K26-00012 101-124."
        ),
    )
    document_no = WordsField(label=_("Number of the delivery note"), max_length=40)
    carrier = WordsField(label=_("Carrier"), max_length=80)
    recipient = WordsField(label=_("Person who receives it"), max_length=120)
    carrier_contact = WordsField(label=_("How to reach the carrier"), max_length=120)
    ship_from = WordsField(label=_("Place it left from, if not the house"), max_length=160)
    least_c = degrees(_("Temperature promised for the way, from, in °C"))
    most_c = degrees(_("To, in °C"))
    happened_at = happened_field(_("When did it leave?"))

    def __init__(
        self, *args: Any, consignees: Sequence[tuple[str, str]] = (), payers: Sequence[tuple[str, str]] = (), **kwargs: Any
    ) -> None:
        super().__init__(*args, **kwargs)
        self.fields["consignee"] = pick(_("For whom?"), consignees, required=False)
        self.fields["consignee"].help_text = _("An order says it by itself.")
        self.fields["bill_to"] = pick(_("Who pays, if somebody else"), payers, required=False)
        self.order_fields(["packs", "consignee"])

    @property
    def order(self) -> str:
        """The code of the order that was scanned, if one was."""
        return next((line.scanned.code for line in self.lines_read if parse_order_code(line.scanned.code)), "")

    @property
    def lines_read(self) -> Sequence[ScannedLine]:
        """What was scanned."""
        return self.cleaned_data.get("packs") or ()

    def clean(self) -> dict[str, Any]:
        """Without an order somebody says for whom it is."""
        facts = super().clean()
        if not facts.get("consignee") and not self.order and "packs" not in self.errors:
            self.add_error("consignee", gettext("Choose one."))
        if sum(1 for line in self.lines_read if parse_order_code(line.scanned.code)) > 1:
            self.add_error("packs", gettext("Two orders stand there. One delivery serves one order."))
        return facts
