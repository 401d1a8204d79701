"""Corrections: a weighing as the ticket has it, or a step that did not happen. What changes is shown before it is written."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import render
from django.urls import reverse
from django.utils.functional import cached_property
from django.utils.translation import gettext as _
from django.utils.translation import ngettext

from lots.balance.words import balance_sentence
from lots.desk.access import may
from lots.desk.forms.correcting import AdjustForm, ReverseForm, line_words
from lots.desk.packing import packs_text
from lots.desk.recorded import Line, for_hands, recorded
from lots.desk.recording import ActView
from lots.desk.words import entry_number, joined, language, mass, stage_word, unbroken
from lots.models import Flow, Step
from lots.read.correcting import StandingLine, StandingStep, balances_with, downstream, standing_step
from lots.read.recent import Recent, recent
from lots.read.scanning import lot_named
from lots.record import correcting
from lots.record.acts import Act, Receipt
from lots.record.errors import Questioned, Refused
from lots.trade.units import signed_kg_text
from lots.trade.weighing import Balance, Verdict

CORRECTIONS_SAID, STEPS_SAID = 20, 50


@dataclass(frozen=True, slots=True)
class Change:
    """One thing that a correction changes: what, as it stands, as it would be; verdicts where it is a balance."""

    what: str
    before: str
    after: str
    verdict_before: Verdict | None = None
    verdict_after: Verdict | None = None


def corrections(request: HttpRequest) -> HttpResponse:
    """Show the last corrections, and the steps of a lot that is looked for."""
    code = request.GET.get("code", "").strip()
    lot = lot_named(code) if code else None
    steps = Flow.objects.filter(lot=lot).exclude(step__stage="correcting").values("step") if lot else None
    found = recorded(recent(most=STEPS_SAID, pk__in=steps)) if steps is not None else []
    return render(request, "desk/corrections.html", {
        "code": code, "lot": lot, "unknown": _("No lot %(code)s is in the book.") % {"code": code} if code and not lot else "",
        "steps": for_hands(found, may_correct=may(request.user, "corrections-adjust")),
        "recorded": correction_lines(recent("correcting", most=CORRECTIONS_SAID)),
    })


def correction_lines(steps: list[Recent]) -> list[Line]:
    """Return corrections as entries."""
    rows = Step.objects.select_related("corrects").in_bulk([step.step for step in steps])
    return [correction_line(step, rows[step.step]) for step in steps]


def correction_line(step: Recent, row: Step) -> Line:
    """Return one correction as an entry."""
    of = row.corrects
    where = _("%(stage)s, entry %(number)s") % {"stage": stage_word(of.stage), "number": entry_number(of.entry_id)} if of else ""
    what = _("Taken back: %(where)s.") if step.part == "reverse" else _("Corrected: %(where)s.")
    changed = _(", ").join(f"{line.lot} {signed_kg_text(line.mass_mg, 3, language())}" for line in step.lines)
    return Line(step.at, what % {"where": where}, joined([_("%(what)s.") % {"what": changed} if changed else "", row.reason]))


class StepView(ActView):
    """A screen about one step of the book."""

    door = "corrections"

    @cached_property
    def step(self) -> StandingStep:
        """The step that is spoken of."""
        found = standing_step(self.kwargs["step"])
        if found is None:
            raise Http404
        return found

    def form(self, data: Any = None) -> Any:
        """Return the form; leaving goes back to the corrections."""
        made = super().form(data)
        made.leave_url = reverse("corrections")
        return made

    def after(self, _receipt: Receipt, _form: Any) -> str:
        """Back to the corrections."""
        return reverse("corrections")

    def context(self) -> dict[str, Any]:
        """Return the step and how far it reaches."""
        return {
            "step": self.step, "step_words": step_words(self.step), "reach": reach_words(self.step.id),
            "lines": lines_words(self.step.lines),
        }


def step_words(step: StandingStep) -> str:
    """Return which step it is: "Sorting, entry 61"."""
    return _("%(stage)s, entry %(number)s") % {"stage": stage_word(step.stage), "number": entry_number(step.entry)}


def reach_words(step: int) -> str:
    """Return what was made of a step's lots, which is worked out anew when it is corrected."""
    reach = downstream(step)
    if not reach.step_count:
        return _("Nothing was made of it yet.")
    steps = ngettext("%(count)d later step", "%(count)d later steps", reach.step_count) % {"count": reach.step_count}
    packs = packs_text(reach.pack_count)
    sent = ngettext("%(count)d consignment", "%(count)d consignments", reach.consignment_count) % {"count": reach.consignment_count}
    return _("Its leaf is in %(steps)s, %(packs)s and %(sent)s; their shares and balances are worked out anew.") % {
        "steps": steps, "packs": packs, "sent": sent,
    }


class AdjustView(StepView):
    """Correct weighings of a step."""

    form_class = AdjustForm
    template_name = "desk/corrections_adjust.html"
    page = "corrections-adjust"

    def options(self) -> dict[str, Any]:
        """Return the step whose weighings are asked for."""
        return {"step": self.step}

    def write(self, act: Act, form: AdjustForm) -> Receipt:
        """Show what changes first; with a reason it is written."""
        if not act.reason:
            raise Questioned(self.question(form))
        return correcting.adjust(act, step=self.step.id, masses_mg=form.masses_mg)

    def question(self, form: AdjustForm) -> str:
        """Return the change in one sentence."""
        changes = [change for change in self.changes(form) if change.verdict_after is None]
        if not changes:
            raise Refused(_("Nothing is different from what stands in the book."))
        return joined(_("%(what)s: %(before)s becomes %(after)s.") % {
            "what": c.what, "before": c.before, "after": c.after,
        } for c in changes)

    def changes(self, form: AdjustForm) -> list[Change]:
        """Return everything that the typed figures change."""
        typed = form.masses_mg
        lines = [line for line in self.step.weighings if line.id in typed and typed[line.id] != line.now_mg]
        found = [
            Change(line_words(line), mass(line.now_mg, line.decimals_count), mass(typed[line.id], line.decimals_count))
            for line in lines
        ]
        both = balances_with(self.step.id, typed, language()) if lines else None
        return [*found, *([balance_change(self.step, *both)] if both else [])]

    def said(self, _receipt: Receipt, form: AdjustForm) -> str:
        """Return what was corrected."""
        lines = {line.id: line for line in self.step.weighings}
        said = (
            _("%(what)s %(mass)s") % {"what": line_words(lines[number]), "mass": mass(mass_mg)}
            for number, mass_mg in form.masses_mg.items()
        )
        return _("Corrected: %(lines)s.") % {"lines": _("; ").join(said)}

    def so_far(self, form: AdjustForm, _facts: dict[str, Any]) -> dict[str, Any]:
        """Say what the balance would be."""
        if not form.is_bound or not form.masses_mg:
            return {}
        both = balances_with(self.step.id, form.masses_mg, language())
        if both is None:
            return {"changes": self.changes(form)}
        before, after = (balance_sentence(balance, self.step.stage, language()) for balance in both)
        return {"say": _("Before: %(before)s After: %(after)s") % {"before": before, "after": after}, "changes": self.changes(form)}


def balance_change(step: StandingStep, before: Balance, after: Balance) -> Change:
    """Return what becomes of a balance."""
    said = [balance_sentence(balance, step.stage, language()) for balance in (before, after)]
    return Change(_("Does it add up?"), said[0], said[1], before.verdict, after.verdict)


class ReverseView(StepView):
    """Take a step back that did not happen."""

    form_class = ReverseForm
    template_name = "desk/corrections_reverse.html"
    page = "corrections-reverse"
    has_live = False

    def write(self, act: Act, _form: ReverseForm) -> Receipt:
        """Ask first; with a reason it is taken back."""
        if not act.reason:
            raise Questioned(_("%(step)s did not happen? Its lots are then empty, and what it drew is back on the shelf.") % {
                "step": step_words(self.step),
            })
        return correcting.reverse(act, step=self.step.id)

    def said(self, _receipt: Receipt, _form: ReverseForm) -> str:
        """Return what was taken back."""
        return _("%(step)s is taken back: it did not happen.") % {"step": step_words(self.step)}


def lines_words(lines: tuple[StandingLine, ...]) -> list[tuple[str, str, str]]:
    """Return the lines of a step for its page: what, as first written where it differs, as it stands."""
    return [
        (unbroken(line_words(line)), mass(line.first_mg) if line.first_mg != line.now_mg else "", mass(line.now_mg)) for line in lines
    ]
