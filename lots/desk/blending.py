"""Bins and blends: what is planned, and the blend of leaf or powder with plan beside actual."""

from __future__ import annotations

from typing import Any, ClassVar

from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.urls import reverse
from django.utils.translation import gettext as _
from django.views.decorators.http import require_safe

from lots.desk.access import may
from lots.desk.blend_words import (
    beside_words,
    leaf_words,
    mix_of,
    plan_claim,
    plan_words,
    poured_words,
    promise_words,
    typed_masses,
)
from lots.desk.combining import mean_frac
from lots.desk.forms.blending import BlendForm
from lots.desk.forms.plain import Answers
from lots.desk.forms.weighing import wet
from lots.desk.live import live_balance, typed_mass, wet_frac
from lots.desk.recorded import recorded
from lots.desk.saying import Said
from lots.desk.scanned import lot_code
from lots.desk.weighed import WeighedView
from lots.desk.words import joined, mass, printed
from lots.models import Blending, Flow, Lot
from lots.read.blending import PlanTold, open_plans, plan_told
from lots.read.recent import recent
from lots.read.typing import in_line, one_sample
from lots.record import blending
from lots.record.acts import Act, Receipt
from lots.record.blending import LEAF, POWDER, Mixed, Poured
from lots.record.lines import Weight
from lots.trade.weighing import Side, Weighing

PAGES = ("blending-plan", "blending-leaf", "blending-powder", "blending-bin")


@require_safe
def board(request: HttpRequest) -> HttpResponse:
    """Show the plans that wait, and what was combined and blended last."""
    plans = [plan_entry(request, plan) for plan in open_plans()]
    last = [*recent("blending"), *recent("combining")]
    told = recorded(sorted(last, key=lambda step: -step.step))
    context = {page.replace("-", "_"): may(request.user, page) for page in PAGES}
    return render(request, "desk/blending.html", {"plans": plans, "told": told, **context})


def plan_entry(request: HttpRequest, plan: PlanTold) -> Said:
    """Return a plan that waits as an entry."""
    leaf = all(lot.material in LEAF for lot, _mass in plan.parts)
    page = "blending-leaf" if leaf else "blending-powder"
    opens = may(request.user, page)
    return Said(
        what=f"{plan.name}.", sentence=plan_words(plan), side=mass(sum(mass_mg for _lot, mass_mg in plan.parts)),
        href=f"{reverse(page)}?plan={plan.step}" if opens else "", do=_("Blend it") if opens else "",
    )


class BlendView(WeighedView):
    """A blend of leaf."""

    form_class = BlendForm
    template_name = "desk/blending_leaf.html"
    page = "blending-leaf"
    door = "blending"
    links = ("plan",)
    line_of = {"lot": "poured", "losses": "lost_as"}
    materials: ClassVar[tuple[str, str]] = LEAF
    recorder = staticmethod(blending.blend_leaf)

    def options(self) -> dict[str, Any]:
        """Return scales, mixers and the plans that wait."""
        known = [(str(plan.step), plan.name) for plan in open_plans()]
        asked = self.request.GET.get("plan", "")
        chosen = asked if asked in dict(known) else ""
        answers = [("", _("no plan")), *known] if known else []
        return {**super().options(), "mixer": self.machines("mixer"), "plan": Answers(answers, chosen)}

    def write(self, act: Act, form: BlendForm) -> Receipt:
        """Write the blend down."""
        facts = form.cleaned_data
        scale = facts.get("scale") or ""
        poured = [
            Poured(lot_code(line.scanned), None if line.mass_mg is None else Weight(line.mass_mg, scale)) for line in facts["poured"]
        ]
        made = Mixed(form.weight("blend_mg"), form.weight("left_mg"), wet(facts["moisture"]), form.mixed_s, facts.get("mixer") or "")
        return self.recorder(
            act, poured=poured, mixed=made, plan=int(facts["plan"]) if facts.get("plan") else None, losses=form.losses,
            happened_at=facts["happened_at"], maker_ref=facts["maker_ref"],
        )

    def said(self, receipt: Receipt, form: BlendForm) -> str:
        """Return the read-back: how much in which lot."""
        return _("%(mass)s blended: lot %(lot)s.") % {"mass": form.said("blend_mg"), "lot": printed(receipt.lots[0])}

    def more(self, receipt: Receipt, _form: BlendForm) -> str:
        """Return the shares, and how far it lies off the plan."""
        row = Blending.objects.get(pk=receipt.step)
        flows = Flow.objects.filter(step=receipt.step, kind=Flow.Kind.IN).select_related("lot").order_by("pk")
        drawn = [(flow.lot, flow.mass_mg) for flow in flows if flow.lot is not None]
        plan = plan_told(row.plan_id) if row.plan_id else None
        made = mix_of(drawn)
        return joined([leaf_words(made) if made else "", beside_words(plan.beside(drawn)) if plan else ""])

    def so_far(self, form: BlendForm, facts: dict[str, Any]) -> dict[str, Any]:
        """Say the shares so far, what they allow to say, how far off the plan, and how it adds up."""
        masses, unknown = typed_masses(facts.get("poured") or ())
        made = mix_of(masses)
        reads = {"poured": poured_words(masses, unknown)}
        if made is None or unknown:
            return {"reads": reads}
        plan = plan_told(int(facts["plan"])) if facts.get("plan") else None
        planned = joined([promise_words(made, plan_claim(plan)), beside_words(plan.beside(masses))]) if plan else ""
        balance = self.balance(form, facts, masses)
        return {"reads": reads, "say": leaf_words(made), "rate": planned, **balance}

    def balance(self, form: BlendForm, facts: dict[str, Any], masses: list[tuple[Lot, int]]) -> dict[str, Any]:
        """Return the live balance of what was poured and what came out."""
        fed = poured_lines(masses)
        like = one_sample(fed)
        typed_wet = {"moisture_frac": wet_frac(facts, "moisture") if like or facts.get("moisture") else mean_frac(fed), "like": like}
        typed = [
            typed_mass(form, facts, "blend_mg", Side.OUT, self.materials[0], **typed_wet),
            typed_mass(form, facts, "left_mg", Side.OUT, self.materials[1], **typed_wet),
            typed_mass(form, facts, "lost_mg", Side.LOST, self.materials[0], **typed_wet),
        ]
        return live_balance(fed, typed, "blending")

    def context(self) -> dict[str, Any]:
        """Return the last blends."""
        return {"recorded": recorded(recent("blending"))}


class PowderBlendView(BlendView):
    """A blend of powder."""

    template_name = "desk/blending_powder.html"
    page = "blending-powder"
    materials = POWDER
    recorder = staticmethod(blending.blend_powder)


def poured_lines(masses: list[tuple[Lot, int]]) -> list[Weighing]:
    """Return what was poured as lines in, at the weighings that opened the lots."""
    opening = Flow.objects.filter(lot__in=[lot.pk for lot, _mass in masses], kind=Flow.Kind.OUT).select_related("scale", "lot")
    first = {flow.lot_id: flow for flow in opening.order_by("-pk")}
    return [in_line(first[lot.pk], mass_mg) for lot, mass_mg in masses if lot.pk in first and mass_mg]
