"""Tests and release: what waits, the results of one lot beside every limit, and the decision on it."""

from __future__ import annotations

from typing import Any

from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, render
from django.urls import reverse
from django.utils import timezone
from django.utils.translation import gettext as _
from django.utils.translation import ngettext
from django.views.decorators.http import require_safe

from lots.desk.forms.release import ConfirmForm, DecideForm
from lots.desk.recording import ActView
from lots.desk.release_entries import (
    complaint_entries,
    decision_entries,
    release_acts,
    result_entries,
    sample_entries,
    second_entries,
    stopped_entries,
    tasting_entries,
)
from lots.desk.saying import paragraph
from lots.desk.ways import way
from lots.dossier.lab_words import decision_words
from lots.models import Lot, LotDecision
from lots.read.complaints import complaints_of, latest_complaints
from lots.read.cultivars import tastings_of
from lots.read.limits import compared, limits_on, markets_known, not_tested
from lots.read.names import lot_name
from lots.read.releases import Decision, decisions_of, state_of, waiting_for_second
from lots.read.results import results_of, samples_waiting
from lots.record import releasing
from lots.record.acts import Act, Receipt
from lots.trade.weighing import Verdict


@require_safe
def board(request: HttpRequest) -> HttpResponse:
    """Show what waits: decisions for a second person, stops by results, samples on their way, complaints."""
    waiting, stopped, samples = waiting_for_second(), stopped_entries(), samples_waiting()
    return render(request, "desk/release.html", {
        "lead": board_lead(len(stopped), len(waiting), len(samples)), "waiting": second_entries(waiting), "stopped": stopped,
        "samples": sample_entries(samples), "complaints": complaint_entries(latest_complaints()), "acts": release_acts(request),
    })


def board_lead(stopped: int, waiting: int, samples: int) -> str:
    """Return what waits in one or two sentences."""
    return paragraph([
        ngettext("%(count)d lot is stopped by a result or a decision.", "%(count)d lots are stopped by a result or a decision.", stopped)
        % {"count": stopped} if stopped else _("No lot is stopped by a result."),
        ngettext("%(count)d release waits for a second person.", "%(count)d releases wait for a second person.", waiting)
        % {"count": waiting} if waiting else "",
        ngettext("%(count)d sample is on its way.", "%(count)d samples are on their way.", samples) % {"count": samples} if samples else "",
    ])


def lot_named(code: str) -> Lot:
    """Return a lot by its code, or say that there is none."""
    return get_object_or_404(Lot.objects.select_related("step"), code=code)


@require_safe
def lot_page(request: HttpRequest, code: str) -> HttpResponse:
    """Show the results of a lot beside every limit of today, what nobody tested, decisions, tastings, complaints."""
    lot = lot_named(code)
    rows, limits, today = results_of(lot), limits_on(timezone.localdate()), timezone.localdate()
    stands = any(one.stops for row in rows for one in compared(row, limits, today))
    return render(request, "desk/release_lot.html", {
        "lot": lot_name(lot), "lead": lot_lead(lot, len(rows)), "verdict": Verdict.STOP if stands else None,
        "headline": _("A result is over a limit of today.") if stands else "", "results": result_entries(rows, limits, today),
        "not_tested": not_tested(rows, limits), "decisions": decision_entries(decisions_of([lot.pk])),
        "tastings": tasting_entries(tastings_of(lot.pk)), "complaints": complaint_entries(complaints_of([lot])),
        "acts": release_acts(request, lot.code),
    })


def lot_lead(lot: Lot, count: int) -> str:
    """Return how a lot stands."""
    state = {"release": _("It is released."), "refuse": _("It is not released.")}.get(state_of(lot.pk), _("Nobody has decided on it yet."))
    results = ngettext("%(count)d result speaks of it.", "%(count)d results speak of it.", count) % {"count": count}
    return paragraph([state, results if count else _("No laboratory result speaks of it.")])


class DecideView(ActView):
    """Release a lot, or not."""

    form_class = DecideForm
    template_name = "desk/releasing.html"
    page = "release-decide"
    door = "release"
    has_live = False

    def lot(self) -> Lot:
        """Return the lot that is decided on."""
        return lot_named(self.kwargs["code"])

    def options(self) -> dict[str, Any]:
        """Return the markets of the limit tables, and the results that stand on the page."""
        return {"markets": markets_known(), "results": [row.pk for row in results_of(self.lot())]}

    def write(self, act: Act, form: DecideForm) -> Receipt:
        """Write the decision down."""
        facts = form.cleaned_data
        asked = {"lot": self.lot().code, "ground": facts["ground"], "results": form.named, "happened_at": facts["happened_at"]}
        markets = [market or _("any market") for market in facts["markets"]]
        if facts["verdict"] == "refuse":
            return releasing.refuse(act, markets=markets, **asked)
        return releasing.release(act, markets=markets, **asked)

    def said(self, receipt: Receipt, _form: DecideForm) -> str:
        """Return the decision as it stands."""
        return decision_words(decision_of(receipt.step or 0))

    def after(self, _receipt: Receipt, _form: DecideForm) -> str:
        """Back to the lot."""
        return reverse("release-lot", args=[self.kwargs["code"]])

    def context(self) -> dict[str, Any]:
        """Return the results beside the limits, and what was not tested."""
        lot, today = self.lot(), timezone.localdate()
        rows, limits = results_of(lot), limits_on(today)
        return {"lot": lot_name(lot), "results": result_entries(rows, limits, today), "not_tested": not_tested(rows, limits)}


class ConfirmView(ActView):
    """Confirm a release as the second person."""

    form_class = ConfirmForm
    template_name = "desk/releasing_confirm.html"
    page = "release-confirm"
    door = "release"
    has_live = False

    def row(self) -> LotDecision:
        """Return the decision that waits."""
        return get_object_or_404(LotDecision.objects.select_related("lot__step", "step"), pk=self.kwargs["step"], step__part="release")

    def write(self, act: Act, form: ConfirmForm) -> Receipt:
        """Write the confirmation down."""
        facts = form.cleaned_data
        return releasing.confirm(act, decision=self.kwargs["step"], ground=facts["ground"], happened_at=facts["happened_at"])

    def said(self, _receipt: Receipt, _form: ConfirmForm) -> str:
        """Return the decision as it stands now."""
        return decision_words(decision_of(self.kwargs["step"]))

    def after(self, _receipt: Receipt, _form: ConfirmForm) -> str:
        """Back to the lot."""
        return way("release-lot", self.row().lot.code)

    def context(self) -> dict[str, Any]:
        """Return the decision and its results."""
        row, today = self.row(), timezone.localdate()
        return {
            "lot": lot_name(row.lot), "decisions": decision_entries([decision_of(row.pk)]),
            "results": result_entries(results_of(row.lot), limits_on(today), today),
        }


def decision_of(step: int) -> Decision:
    """Return one decision."""
    row = get_object_or_404(LotDecision, pk=step)
    found = next((one for one in decisions_of([row.lot_id]) if one.row.pk == step), None)
    if found is None:
        raise Http404
    return found
