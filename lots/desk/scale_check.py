"""Check weights on scales, and the weighings that a failed check puts in question."""

from __future__ import annotations

from typing import Any

from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import render
from django.urls import reverse
from django.utils.translation import gettext as _
from django.views.decorators.http import require_safe
from django_tables2 import RequestConfig

from lots.desk.access import may
from lots.desk.forms.checks import ClearForm, ScaleForm
from lots.desk.recording import ActView
from lots.desk.saying import Said, clock_text, short_day_text
from lots.desk.tables.checks import DoubtTable, doubt_row
from lots.desk.tables.files import spreadsheet
from lots.desk.ways import way
from lots.desk.words import language
from lots.models import Lot, ScaleCheck
from lots.read.scale_check import check_of, doubted, is_cleared, questioned_by, span_of
from lots.record import scale_check
from lots.record.acts import Act, Receipt
from lots.trade.units import g_text, kg_text, signed_g_text

PER_PAGE = 50


def shown_words(check: ScaleCheck) -> str:
    """Return what a scale showed and how far it may be off."""
    return _("%(scale)s shows %(shown)s under %(weight)s: off by %(off)s, allowed %(allowed)s.") % {
        "scale": check.scale.code, "shown": kg_text(check.shown_mg, check.scale.decimals_count, language()), "weight": check.weight.code,
        "off": signed_g_text(check.shown_mg - check.weight.nominal_mg, 1, language()), "allowed": g_text(check.allowed_mg, 1, language()),
    }


class ScaleCheckView(ActView):
    """A check weight is laid on a scale."""

    form_class = ScaleForm
    template_name = "desk/scale_check.html"
    page = "checks-scale"
    door = "checks"
    has_live = False
    links = ("scale",)

    def write(self, act: Act, form: ScaleForm) -> Receipt:
        """Write the check down."""
        facts = form.cleaned_data
        return scale_check.check(
            act, scale=facts["scale"], weight=facts["weight"], shown_mg=facts["shown_mg"], happened_at=facts["happened_at"],
        )

    def said(self, receipt: Receipt, _form: ScaleForm) -> str:
        """Return the judgement."""
        check = check_of(receipt.step or 0)
        assert check is not None
        return shown_words(check) + " " + (_("Within.") if check.within else _("Beyond."))

    def more(self, receipt: Receipt, _form: ScaleForm) -> str:
        """Say what a failed check questions."""
        check = check_of(receipt.step or 0)
        if check is None or check.within:
            return ""
        words = {"count": len(doubted(check)), "scale": check.scale.code}
        return _("%(count)d weighings on it are questioned. Take %(scale)s out of use until it is set right.") % words

    def after(self, receipt: Receipt, _form: ScaleForm) -> str:
        """On to what is questioned, or back to the checks."""
        check = check_of(receipt.step or 0)
        return reverse("checks") if check is None or check.within else reverse("checks-doubt", args=[check.pk])


def failed(step: int) -> ScaleCheck:
    """Return a failed check, or say that there is none."""
    check = check_of(step)
    if check is None or check.within:
        raise Http404(_("There is no failed check of a scale with the number %(number)s.") % {"number": step})
    return check


@require_safe
def doubt(request: HttpRequest, step: int) -> HttpResponse:
    """Show every weighing that a failed check puts in question, and what that does to each balance."""
    check, span = failed(step), span_of(failed(step))
    table = DoubtTable([doubt_row(line) for line in doubted(check)], attrs={"class": "table stack many"})
    RequestConfig(request, paginate={"per_page": PER_PAGE}).configure(table)
    table.csv_url = reverse("checks-doubt-file", args=[step])
    return render(request, "desk/scale_doubt.html", {
        "table": table, "shown": shown_words(check), "since": span.good_at, "until": span.next_good_at, "cleared": is_cleared(check),
        "clear_url": way("checks-clear", step) if may(request.user, "checks-clear") else "", "scale": check.scale.code,
    })


@require_safe
def doubt_file(_request: HttpRequest, step: int) -> HttpResponse:
    """Hand the same table out as a file."""
    return spreadsheet(DoubtTable([doubt_row(line) for line in doubted(failed(step))]), f"scale-check-{step}")


class ClearView(ActView):
    """The weighings stand."""

    form_class = ClearForm
    template_name = "desk/scale_clear.html"
    page = "checks-clear"
    door = "checks"
    has_live = False

    def write(self, act: Act, form: ClearForm) -> Receipt:
        """Write the word down."""
        facts = form.cleaned_data
        return scale_check.clear(act, check=self.kwargs["step"], ground=facts["ground"], happened_at=facts["happened_at"])

    def said(self, _receipt: Receipt, _form: ClearForm) -> str:
        """Return what is cleared."""
        return _("The weighings on scale %(scale)s stand.") % {"scale": failed(self.kwargs["step"]).scale.code}

    def context(self) -> dict[str, Any]:
        """Return which check it is about."""
        return {"lead": shown_words(failed(self.kwargs["step"]))}

    def after(self, _receipt: Receipt, _form: ClearForm) -> str:
        """Back to the checks."""
        return reverse("checks")


def questioned_entries(lot: Lot) -> list[Said]:
    """Return the failed checks of scales that put a weighing of a lot in question, as its page says it."""
    return [
        Said(
            what=_("Its weighing on scale %(scale)s is questioned.") % {"scale": check.scale.code}, sentence=shown_words(check),
            side=short_day_text(check.step.happened_at), small=clock_text(check.step.happened_at),
            href=way("checks-doubt", check.pk), do=_("See the weighings"),
        )
        for check in questioned_by(lot)
    ]
