"""Forms of what comes back, of a round of parcels, and of forgetting a person."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from django import forms
from django.utils.translation import gettext
from django.utils.translation import gettext_lazy as _

from lots.desk.forms.base import ActForm
from lots.desk.forms.fields import ChoiceStrip, ReasonField
from lots.desk.forms.many import ManyScanField
from lots.desk.forms.plain import WordsField, pick
from lots.desk.forms.seldom import Folded
from lots.desk.forms.weighing import happened_field

STATES = (("unopened", _("unopened")), ("opened", _("opened")), ("damaged", _("damaged")))
HELD, DESTROYED, STOCK = "held", "destroyed", "in stock"


class ReturnForm(Folded):
    """What came back, why, how, and whether it waits for quality or was destroyed."""

    main_act = _("Take them back")
    seldom = {"consignment": _("which delivery"), "sender": _("who sent them"), "evidence": _("evidence")}

    packs = ManyScanField(label=_("Scan the packs that came back, or the label of their lot"), counted=True, help_text=_(
        "One a line; each Enter adds one. Behind a lot's code stands how many, or which numbers: K26-00012 2, or K26-00012 101-104."
    ))
    why = ReasonField(label=_("Why did they come back?"))
    state = ChoiceStrip(label=_("How are they?"), choices=STATES)
    fate = ChoiceStrip(label=_("What becomes of them?"), choices=(
        (HELD, _("they wait for quality")), (DESTROYED, _("they were destroyed")),
    ))
    sender = WordsField(label=_("Who sent them, if not the buyer"), max_length=120)
    evidence = WordsField(label=_("Evidence: picture, weighing ticket, paper"), max_length=200)
    happened_at = happened_field(_("When did they come?"))

    def __init__(
        self, *args: Any, deliveries: Sequence[tuple[str, str]] = (), staff: Sequence[tuple[str, str]] = (), **kwargs: Any
    ) -> None:
        super().__init__(*args, **kwargs)
        self.fields["witness"] = pick(_("Who saw it, if they were destroyed"), staff, required=False)
        self.fields["consignment"] = pick(_("Which delivery are they of, if no number says it"), deliveries, required=False)
        self.order_fields(["packs", "why", "state", "fate", "witness", "consignment", "sender", "evidence"])


class SettleForm(ActForm):
    """What becomes of packs that came back."""

    main_act = _("Write it down")

    fate = ChoiceStrip(label=_("What becomes of them?"), choices=((STOCK, _("in stock again")), (DESTROYED, _("destroyed"))))
    why = ReasonField(label=_("On what ground? Who looked at them, what was found?"))
    evidence = WordsField(label=_("Evidence: picture, weighing ticket, paper"), max_length=200)
    happened_at = happened_field(_("When was it decided?"))

    def __init__(self, *args: Any, staff: Sequence[tuple[str, str]] = (), **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.fields["witness"] = pick(_("Who saw it, if they were destroyed"), staff, required=False)
        self.order_fields(["fate", "why", "witness", "evidence"])


class ListField(forms.CharField):
    """A list that is pasted: one parcel a line."""

    part = "rest"

    def __init__(self, **kwargs: Any) -> None:
        widget = forms.Textarea(attrs={"rows": 8, "autocomplete": "off", "spellcheck": "false"})
        super().__init__(widget=widget, strip=False, **kwargs)


class RoundForm(Folded):
    """A round of parcels: a list, and under whose name it stands."""

    main_act = _("Send all of them")
    seldom = {"carrier_contact": _("how to reach the carrier")}

    parcels = ListField(
        label=_("The list: name, address, mail, product, count"),
        help_text=_("One parcel a line, pasted from a spreadsheet, or with commas between. All go, or none."),
        error_messages={"required": _("The list is empty.")},
    )
    document_no = WordsField(label=_("Number of the round"), max_length=40)
    carrier = WordsField(label=_("Carrier"), max_length=80)
    carrier_contact = WordsField(label=_("How to reach the carrier"), max_length=120)
    happened_at = happened_field(_("When did they leave?"))

    def __init__(self, *args: Any, consignees: Sequence[tuple[str, str]] = (), **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.fields["consignee"] = pick(_("Under which name do subscribers stand in the register?"), consignees)
        self.order_fields(["parcels", "consignee"])


class ForgetForm(ActForm):
    """Forget what was found."""

    main_act = _("Forget it for good")
    leave_act = _("Leave, forget nothing")

    values = forms.CharField(widget=forms.HiddenInput, required=False)
    why = ReasonField(label=_("Why? Who asked for it, and when?"))

    @property
    def commitments(self) -> list[str]:
        """What is to be forgotten."""
        return str(self.cleaned_data.get("values") or "").split()

    def clean(self) -> dict[str, Any]:
        """Nothing is forgotten unseen."""
        facts = super().clean()
        if not self.commitments and not self.errors:
            self.add_error(None, gettext("Look for the person first."))
        return facts
