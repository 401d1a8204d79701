"""Hold and fetch back: what stands, and the acts that stop a lot or let it go."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime
from typing import Any

from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import render
from django.urls import reverse
from django.utils.translation import gettext as _

from lots.desk.access import may
from lots.desk.forms.shelf import HoldForm, RecallForm, ReleaseForm
from lots.desk.recording import ActView
from lots.desk.scanned import lot_code, lot_of, told
from lots.models import Hold
from lots.read.holding import standing
from lots.read.names import lot_name
from lots.read.scanning import lot_facts
from lots.record import holding
from lots.record.acts import Act, Receipt


@dataclass(frozen=True, slots=True)
class StoppedLot:
    """A hold that stands: what kind, which lot, since when, why, and where it is released."""

    id: int
    kind: str
    lot: str
    code: str
    since_at: datetime
    reason: str
    url: str


def stopped_lots() -> list[StoppedLot]:
    """Return the holds that stand, recalls first, the oldest first."""
    rows = Hold.objects.filter(standing()).select_related("lot").order_by("pk")
    found = [
        StoppedLot(h.pk, h.kind, lot_name(h.lot).name, h.lot.code, h.happened_at, h.reason, reverse("holding-release", args=[h.pk]))
        for h in rows
    ]
    return sorted(found, key=lambda hold: hold.kind != Hold.Kind.RECALL)


def board(request: HttpRequest) -> HttpResponse:
    """Show what is stopped."""
    pages = ("holding-hold", "holding-recall", "holding-release")
    return render(request, "desk/holding.html", {"holds": stopped_lots(), **{p.replace("-", "_"): may(request.user, p) for p in pages}})


class HoldView(ActView):
    """Stop a lot."""

    form_class = HoldForm
    template_name = "desk/holding_hold.html"
    page = "holding-hold"
    door = "holding"

    def write(self, act: Act, form: HoldForm) -> Receipt:
        """Stop it."""
        facts = form.cleaned_data
        return holding.hold(act, lot=lot_code(facts["lot"]), reason=facts["reason"], happened_at=facts["happened_at"])

    def said(self, _receipt: Receipt, form: HoldForm) -> str:
        """Return what is stopped."""
        lot = lot_of(form.cleaned_data["lot"])
        return _("Lot %(lot)s is stopped, with everything that was made of it.") % {"lot": lot}

    def so_far(self, _form: HoldForm, facts: dict[str, Any]) -> dict[str, Any]:
        """Say which lot it is."""
        return {"reads": {"lot": told(facts.get("lot"))}}


class RecallView(HoldView):
    """Fetch a lot back."""

    form_class = RecallForm
    template_name = "desk/holding_recall.html"
    page = "holding-recall"

    def write(self, act: Act, form: RecallForm) -> Receipt:
        """Fetch it back."""
        facts = form.cleaned_data
        return holding.fetch_back(
            act, lot=lot_code(facts["lot"]), reason=facts["reason"], what_to_do=facts["what_to_do"],
            what_to_do_ja=facts["what_to_do_ja"], happened_at=facts["happened_at"],
        )

    def said(self, _receipt: Receipt, form: RecallForm) -> str:
        """Return what is fetched back."""
        return _("Lot %(lot)s is fetched back; the page of each of its packs says so.") % {"lot": lot_of(form.cleaned_data["lot"])}


class ReleaseView(ActView):
    """End a hold."""

    form_class = ReleaseForm
    template_name = "desk/holding_release.html"
    page = "holding-release"
    door = "holding"
    has_live = False

    def hold(self) -> Hold:
        """Return the hold that is spoken of."""
        row = Hold.objects.select_related("lot__step", "lot__stock").exclude(kind=Hold.Kind.RELEASE).filter(pk=self.kwargs["hold"]).first()
        if row is None:
            raise Http404
        return row

    def write(self, act: Act, form: ReleaseForm) -> Receipt:
        """Release it."""
        facts = form.cleaned_data
        return holding.release(act, hold=self.kwargs["hold"], reason=facts["reason"], happened_at=facts["happened_at"])

    def said(self, _receipt: Receipt, _form: ReleaseForm) -> str:
        """Return what is released."""
        return _("Lot %(lot)s is released.") % {"lot": self.hold().lot}

    def after(self, _receipt: Receipt, _form: ReleaseForm) -> str:
        """Back to what still stands."""
        return reverse("holding")

    def context(self) -> dict[str, Any]:
        """Return the hold and its lot."""
        hold = self.hold()
        return {"hold": hold, "facts": lot_facts(hold.lot)}
