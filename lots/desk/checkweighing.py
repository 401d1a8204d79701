"""Check-weighing: one pack after another, with mean, shortfall and giveaway as they come."""

from __future__ import annotations

from typing import Any

from django.urls import reverse
from django.utils.translation import gettext as _

from lots.desk.forms.packing import packs_of
from lots.desk.forms.packs import BY_COUNT, CheckWeighForm
from lots.desk.recorded import Line, step_line
from lots.desk.scanned import lot_code
from lots.desk.series_words import series_of, series_told
from lots.desk.weighed import FINE, WeighedView
from lots.desk.words import joined, language
from lots.models import CheckWeighing, PackedUnit
from lots.quality.net_content import PLANS, NetContent, judge, plan_for
from lots.read.check_weighings import Checked, check_weighings, too_coarse
from lots.read.recent import Recent, recent
from lots.record import checkweighing
from lots.record.acts import Act, Receipt
from lots.trade import language as trade
from lots.trade.units import g_text, number_text, signed_g_text


class CheckWeighView(WeighedView):
    """A check-weighing of one series."""

    form_class = CheckWeighForm
    template_name = "desk/checkweighing.html"
    page = "packing-weigh"
    door = "packing"
    usual_scale = {"scale": FINE}

    def write(self, act: Act, form: CheckWeighForm) -> Receipt:
        """Write the weights down."""
        facts = form.cleaned_data
        return checkweighing.weigh(
            act, lot=lot_code(facts["lot"]), readings_mg=facts["readings_mg"], tare_mg=facts["tare_mg"] or 0,
            plan=named(facts["plan"]), scale=facts.get("scale") or "", happened_at=facts["happened_at"],
        )

    def said(self, receipt: Receipt, _form: CheckWeighForm) -> str:
        """Return the judgement."""
        check = check_of(receipt.step)
        said = _("%(packs)s: %(verdict)s.") % {"packs": packs_of(check.unit.product), "verdict": verdict_words(check.result)}
        return joined([said, figures(check.result)])

    def more(self, receipt: Receipt, _form: CheckWeighForm) -> str:
        """Say why, and what was stopped."""
        result = check_of(receipt.step).result
        stopped = _("The series is stopped until the quality lead releases it.") if result.accepted is False else ""
        return joined([*reasons(result), stopped])

    def after(self, receipt: Receipt, form: CheckWeighForm) -> str:
        """On to the run where the series was packed."""
        unit = series_of(form.cleaned_data["lot"])
        return reverse("packing-run", args=[unit.step_id]) if unit else super().after(receipt, form)

    def so_far(self, form: CheckWeighForm, facts: dict[str, Any]) -> dict[str, Any]:
        """Say what the packs come to so far."""
        unit = series_of(facts.get("lot"))
        reads = {"lot": series_told(facts.get("lot"), unit)}
        if unit is None or not facts.get("readings_mg"):
            return {"reads": reads}
        tare_mg = facts.get("tare_mg") or 0
        scale = form.scales.get(facts.get("scale") or form.chosen("scale"))
        caution = coarse_words(unit.product.net_mg) if too_coarse(scale, unit.product.net_mg, tare_mg) else ""
        try:
            result = judge(
                plan=named(facts.get("plan") or "") or plan_for(unit.pack_count), nominal_mg=unit.product.net_mg,
                contents_mg=[mg - tare_mg for mg in facts["readings_mg"]], lot_size=unit.pack_count,
            )
        except trade.Refused as fault:
            return {"reads": reads, "say": fault.text(language())}
        return {"reads": reads, "say": figures(result), "rate": joined([*reasons(result), caution])}

    def context(self) -> dict[str, Any]:
        """Return the last check-weighings."""
        steps = recent("checkweighing", ("series",))
        rows = CheckWeighing.objects.select_related("unit__lot", "unit__product").in_bulk([step.step for step in steps])
        return {"recorded": [check_line(step, rows[step.step]) for step in steps]}


def named(choice: str) -> str:
    """Return the plan that was chosen; nothing where the count of packs decides."""
    return "" if choice == BY_COUNT else choice


def check_of(step: int | None) -> Checked:
    """Return a check-weighing that was just written."""
    units = PackedUnit.objects.select_related("lot__step", "product").filter(check_weighings=step)
    return next(check for check in check_weighings(units) if check.step == step)


def verdict_words(result: NetContent) -> str:
    """Return whether the packs are accepted."""
    words = {True: _("accepted"), False: _("not accepted"), None: _("not judged")}
    return words[result.accepted]


def plan_words(name: str) -> str:
    """Return a plan by its words."""
    plan = PLANS[name]
    return trade.pick(language(), plan.english, plan.japanese)


def figures(result: NetContent) -> str:
    """Return what was weighed: how many, the mean, what is given away, and what falls short."""
    return _(
        "%(count)s weighed, mean %(mean)s, %(giveaway)s against the label each; short by more than %(t)s: %(t1)s of %(allowed)s allowed;"
        " by more than twice that: %(t2)s, none allowed."
    ) % {
        "count": number_text(result.weighed_count, 0), "mean": g_text(result.mean_mg, 2, language()),
        "giveaway": signed_g_text(result.giveaway_mg, 2, language()), "t": g_text(result.deficiency_mg, 1, language()),
        "t1": result.t1_count, "allowed": result.t1_allowed_count, "t2": result.t2_count,
    }


def reasons(result: NetContent) -> list[str]:
    """Return why the plan says so."""
    return [reason.text(language()) for reason in result.reasons]


def coarse_words(net_mg: int) -> str:
    """Return the caution about a scale that is too coarse for such packs."""
    return _("This scale may err by more than a check of packs of %(net)s bears.") % {"net": g_text(net_mg, 0, language())}


def check_line(step: Recent, row: CheckWeighing) -> Line:
    """Return one check-weighing as an entry."""
    words = {True: _("Accepted"), False: _("Not accepted"), None: _("Not judged")}
    sentence = _("%(verdict)s: %(count)s weighed, mean %(mean)s.") % {
        "verdict": words[row.accepted], "count": row.weighed_count, "mean": g_text(row.mean_mg, 2, language()),
    }
    what = _("%(lot)s, %(packs)s.") % {"lot": row.unit.lot, "packs": packs_of(row.unit.product)}
    return step_line(step, what, sentence)
