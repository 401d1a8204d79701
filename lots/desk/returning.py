"""Packs that came back: taken back, and what quality says of them."""

from __future__ import annotations

from typing import Any

from django.http import Http404
from django.urls import reverse
from django.utils.functional import cached_property
from django.utils.translation import gettext as _

from lots.desk.access import may
from lots.desk.dispatch import packs_words, ranges
from lots.desk.forms.returning import DESTROYED, ReturnForm, SettleForm
from lots.desk.packing import packs_text
from lots.desk.recorded import Line
from lots.desk.recording import ActView
from lots.desk.words import joined, language
from lots.models import Consignment, Staff
from lots.read.names import opened
from lots.read.registers import in_force
from lots.read.returns import CameBack, waiting
from lots.record import returning
from lots.record.acts import Act, Receipt
from lots.record.errors import Refused
from lots.trade.units import date_text

DELIVERIES_MOST = 60


class ReturnView(ActView):
    """Take packs back."""

    form_class = ReturnForm
    template_name = "desk/returning.html"
    page = "dispatch-returns"
    door = "dispatch"

    def options(self) -> dict[str, Any]:
        """Return the last deliveries and the badges."""
        return {"deliveries": deliveries(), "staff": badges()}

    def write(self, act: Act, form: ReturnForm) -> Receipt:
        """Take them back."""
        facts = form.cleaned_data
        return returning.take_back(
            act, packs=ranges(facts["packs"]), why=facts["why"], state=facts["state"],
            consignment=int(facts["consignment"]) if facts["consignment"] else None, sender=facts["sender"],
            destroyed=facts["fate"] == DESTROYED, witness=facts["witness"] or "", evidence=facts["evidence"],
            happened_at=facts["happened_at"],
        )

    def said(self, _receipt: Receipt, form: ReturnForm) -> str:
        """Return the read-back."""
        count = sum(one.pack_count for one in ranges(form.cleaned_data["packs"]))
        if form.cleaned_data["fate"] == DESTROYED:
            return _("%(packs)s came back and were destroyed.") % {"packs": packs_text(count)}
        return _("%(packs)s came back and wait for quality.") % {"packs": packs_text(count)}

    def so_far(self, _form: ReturnForm, facts: dict[str, Any]) -> dict[str, Any]:
        """Say which packs were scanned so far."""
        try:
            found = ranges(facts.get("packs") or ())
        except Refused as answer:
            return {"reads": {"packs": answer.sentence}}
        count = sum(one.pack_count for one in found)
        return {"reads": {"packs": packs_words(found)}, "say": _("%(packs)s so far.") % {"packs": packs_text(count)} if count else ""}

    def context(self) -> dict[str, Any]:
        """Return the returns that wait."""
        settles = may(self.request.user, "dispatch-return-settle")
        return {"returns": [return_line(one, settles=settles) for one in waiting()]}


def deliveries() -> list[tuple[str, str]]:
    """Return the last deliveries by day, buyer and document."""
    rows = Consignment.objects.exclude(step__corrected_by__part="reverse").select_related("consignee", "step").order_by("-pk")
    found = list(rows[:DELIVERIES_MOST])
    names = opened([*(row.consignee.name for row in found), *(row.recipient for row in found if row.step.part == "parcel")])
    return [(str(row.pk), delivery_words(row, names)) for row in found]


def delivery_words(row: Consignment, names: dict[str, str]) -> str:
    """Return one delivery for a list: "2026-10-02 Tea House East, D-17"."""
    who = names.get(row.recipient) if row.step.part == "parcel" else None
    day = date_text(row.step.happened_at.date(), language())
    return _(", ").join(part for part in (day, who or names.get(row.consignee.name, row.consignee.code), row.document_no) if part)


def badges() -> list[tuple[str, str]]:
    """Return the badges with their names."""
    rows = list(in_force(Staff))
    names = opened(row.name for row in rows)
    return [(row.code, names.get(row.name, row.code)) for row in rows]


def return_line(one: CameBack, *, settles: bool) -> Line:
    """Return a return that waits as an entry."""
    names = opened([one.consignee_name])
    what = _("%(packs)s from %(who)s.") % {"packs": packs_text(one.pack_count), "who": names.get(one.consignee_name, one.consignee)}
    states = {"unopened": _("unopened"), "opened": _("opened"), "damaged": _("damaged")}
    lots = _(", ").join(lot for lot, _count in one.lots)
    sentence = joined((_("%(what)s.") % {"what": lots}, _("%(reason)s, %(state)s.") % {
        "reason": one.why.rstrip("."), "state": states.get(one.state, one.state),
    }))
    url = reverse("dispatch-return-settle", args=[one.step]) if settles else ""
    return Line(one.at, what, sentence, url, _("Say what becomes of them"))


class SettleView(ActView):
    """Say what becomes of packs that came back."""

    form_class = SettleForm
    template_name = "desk/returning_settle.html"
    page = "dispatch-return-settle"
    door = "dispatch-returns"
    has_live = False

    @cached_property
    def back(self) -> CameBack | None:
        """The return, while it waits."""
        return next((one for one in waiting() if one.step == self.kwargs["returned"]), None)

    def options(self) -> dict[str, Any]:
        """Return the badges."""
        return {"staff": badges()}

    def write(self, act: Act, form: SettleForm) -> Receipt:
        """Write it down."""
        facts = form.cleaned_data
        return returning.settle(
            act, returned=self.kwargs["returned"], fate=facts["fate"], why=facts["why"], witness=facts["witness"] or "",
            evidence=facts["evidence"], happened_at=facts["happened_at"],
        )

    def said(self, _receipt: Receipt, form: SettleForm) -> str:
        """Return what was decided."""
        return _("They were destroyed.") if form.cleaned_data["fate"] == DESTROYED else _("They are in stock again.")

    def after(self, _receipt: Receipt, _form: SettleForm) -> str:
        """Back to the returns."""
        return reverse("dispatch-returns")

    def context(self) -> dict[str, Any]:
        """Return what waits."""
        if self.back is None and self.request.method == "GET":
            raise Http404(_("These packs do not wait any more."))
        return {"back": return_line(self.back, settles=False) if self.back else None}
