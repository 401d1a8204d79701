"""Going out: packs for one consignee under one document."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from django.utils.translation import gettext_lazy as _

from lots.desk.forms.many import ManyScanField
from lots.desk.forms.plain import WordsField, pick
from lots.desk.forms.seldom import Folded
from lots.desk.forms.weighing import happened_field


class DispatchForm(Folded):
    """Scan packs, or the label of a lot with how many or which numbers."""

    main_act = _("Send it out")
    seldom = {"recipient": _("person who receives it")}

    packs = ManyScanField(
        label=_("Scan the packs, or the label of their lot"), counted=True, help_text=_(
            "One a line; each Enter adds one. Behind a lot's code stands how many, or which numbers: K26-00012 24, or "
            "K26-00012 101-124."
        ),
    )
    document_no = WordsField(label=_("Number of the delivery note"), max_length=40)
    carrier = WordsField(label=_("Carrier"), max_length=80)
    recipient = WordsField(label=_("Person who receives it"), max_length=120)
    happened_at = happened_field(_("When did it leave?"))

    def __init__(self, *args: Any, consignees: Sequence[tuple[str, str]] = (), **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.fields["consignee"] = pick(_("For whom?"), consignees)
        self.order_fields(["packs", "consignee"])
