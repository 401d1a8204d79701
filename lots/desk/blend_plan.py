"""Plan a blend: lots with kilograms, their shares at once, and whether what is meant can be said."""

from __future__ import annotations

from typing import Any

from django.utils.translation import gettext as _

from lots.desk.blend_words import leaf_words, mix_of, plan_words, poured_words, promise_words, typed_masses
from lots.desk.forms.blending import BlendPlanForm, claim_in
from lots.desk.recorded import Line
from lots.desk.recording import ActView
from lots.desk.scanned import lot_code
from lots.desk.words import joined
from lots.models import Step
from lots.read.blending import plan_told, plans
from lots.record import blend_plan
from lots.record.acts import Act, Receipt
from lots.record.blend_plan import Planned

PLANS_SHOWN = 5


class BlendPlanView(ActView):
    """A plan."""

    form_class = BlendPlanForm
    template_name = "desk/blend_plan.html"
    page = "blending-plan"
    door = "blending"
    line_of = {"poured": "parts"}

    def write(self, act: Act, form: BlendPlanForm) -> Receipt:
        """Write the plan down."""
        facts = form.cleaned_data
        parts = [Planned(lot_code(line.scanned), line.mass_mg or 0) for line in facts["parts"]]
        return blend_plan.plan(act, name=facts["name"], parts=parts, **form.claim, happened_at=facts["happened_at"])

    def said(self, receipt: Receipt, _form: BlendPlanForm) -> str:
        """Return the plan."""
        told = plan_told(receipt.step or 0)
        return _("Plan %(name)s: %(parts)s") % {"name": told.name, "parts": plan_words(told)} if told else ""

    def so_far(self, _form: BlendPlanForm, facts: dict[str, Any]) -> dict[str, Any]:
        """Say what these lots would make together."""
        masses, unknown = typed_masses(facts.get("parts") or ())
        made = mix_of(masses)
        reads = {"parts": poured_words(masses, unknown)}
        if made is None or unknown:
            return {"reads": reads}
        return {"reads": reads, "say": leaf_words(made), "rate": promise_words(made, claim_in(facts))}

    def context(self) -> dict[str, Any]:
        """Return the last plans."""
        found = plans()[:PLANS_SHOWN]
        at = dict(Step.objects.filter(pk__in=[plan.step for plan in found]).values_list("pk", "happened_at"))
        return {"recorded": [Line(at[plan.step], f"{plan.name}.", joined([plan_words(plan)])) for plan in found]}
