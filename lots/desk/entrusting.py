"""Across the door for hire: leaf of ours to another mill, goods of others back to whom they belong; and where each stands."""

from __future__ import annotations

from typing import Any

from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.urls import reverse
from django.utils.translation import gettext as _
from django.views.decorators.http import require_safe

from lots.desk.access import may
from lots.desk.forms.hiring import HandOverForm, SendForm
from lots.desk.forms.plain import Answers
from lots.desk.forms.registers import choices_of
from lots.desk.recorded import Line, for_hands, step_line
from lots.desk.recording import ActView
from lots.desk.scanned import lot_code, told
from lots.desk.weighed import WeighedView
from lots.desk.words import mass, material_word, printed
from lots.models import Party
from lots.read.hiring import HiredLot, hire_papers, hired_lots
from lots.read.recent import Recent, recent
from lots.read.registers import in_force
from lots.record import entrusting
from lots.record.acts import Act, Receipt

LAST = 8
MILLS = frozenset({"refiner", "mill", "miller"})


@require_safe
def board(request: HttpRequest) -> HttpResponse:
    """Show what of ours is elsewhere, what of others is here, and what crossed the door last."""
    found = hired_lots()
    moves = sorted([*recent("entrusting", most=LAST), *recent("hiring", most=LAST)], key=lambda step: -step.step)
    acts = {page.replace("-", "_"): may(request.user, page) for page in ("receiving-send", "receiving-back", "receiving-over", "receiving")}
    return render(request, "desk/hiring.html", {
        "away": [hired_line(one) for one in found if one.holder], "here": [hired_line(one) for one in found if not one.holder],
        "moves": for_hands(move_lines(moves), may_correct=may(request.user, "corrections-adjust")), **acts,
    })


def hired_line(one: HiredLot) -> Line:
    """Return a lot whose owner is not its holder."""
    what = _("%(lot)s, %(material)s %(mass)s.") % {
        "lot": one.lot.name, "material": material_word(one.lot.material), "mass": mass(one.book_mg),
    }
    whose = _("It belongs to %(owner)s.") % {"owner": one.owner.rstrip(".")} if one.owner else _("It is ours.")
    where = _("%(holder)s has it.") % {"holder": one.holder} if one.holder else _("It stands here.")
    return Line(one.at, what, f"{whose} {where}", reverse("lot", args=[one.lot.code]), _("Its book"))


def move_lines(steps: list[Recent]) -> list[Line]:
    """Return what crossed the door, with whom and under which paper."""
    papers = hire_papers([step.step for step in steps])
    words = {"send": _("Sent to %(party)s, paper %(paper)s."), "hand_over": _("Handed over to %(party)s, paper %(paper)s."),
             "back": _("Back from %(party)s, paper %(paper)s.")}
    said = {step.step: words[step.part] % dict(zip(("party", "paper"), papers[step.step], strict=True)) for step in steps}
    return [step_line(step, lots_of(step), said[step.step]) for step in steps]


def lots_of(step: Recent) -> str:
    """Return what went in, where nothing came out."""
    if step.part != "hand_over":
        return ""
    names = _(", ").join(line.lot for line in step.lines)
    return _("%(lots)s, %(mass)s.") % {"lots": names, "mass": mass(sum(line.mass_mg for line in step.lines))}


def with_role(roles: frozenset[str]) -> Answers:
    """Return the parties with one of some roles; everybody where nobody has one."""
    rows = list(in_force(Party))
    return Answers(choices_of([row for row in rows if roles & set(row.roles.split())] or rows))  # type: ignore[arg-type]


class SendView(WeighedView):
    """Leaf of ours to another mill."""

    form_class = SendForm
    template_name = "desk/hiring_send.html"
    page = "receiving-send"
    door = "receiving-hire"

    def options(self) -> dict[str, Any]:
        """Return the other mills."""
        return {**super().options(), "mills": with_role(MILLS)}

    def write(self, act: Act, form: SendForm) -> Receipt:
        """Write it down."""
        facts = form.cleaned_data
        return entrusting.send(
            act, lot=lot_code(facts["lot"]), party=facts["party"], paper_no=facts["paper_no"],
            weighed=form.weight("weighed_mg") if facts["weighed_mg"] is not None else None, note=facts["note"],
            happened_at=facts["happened_at"], maker_ref=facts["maker_ref"],
        )

    def said(self, receipt: Receipt, form: SendForm) -> str:
        """Return what was sent."""
        return _("Sent to %(party)s: it goes on as lot %(lot)s.") % {
            "party": form.cleaned_data["party"], "lot": printed(receipt.lots[0]),
        }

    def so_far(self, _form: SendForm, facts: dict[str, Any]) -> dict[str, Any]:
        """Say which lot it is."""
        return {"reads": {"lot": told(facts.get("lot"))}}

    def after(self, _receipt: Receipt, _form: SendForm) -> str:
        """Back to what is away."""
        return reverse("receiving-hire")


class HandOverView(ActView):
    """Goods of others back to whom they belong."""

    form_class = HandOverForm
    template_name = "desk/hiring_over.html"
    page = "receiving-over"
    door = "receiving-hire"
    has_live = False

    def options(self) -> dict[str, Any]:
        """Return those who let goods be milled."""
        return {"owners": with_role(frozenset({"owner"}))}

    def write(self, act: Act, form: HandOverForm) -> Receipt:
        """Write it down."""
        facts = form.cleaned_data
        return entrusting.hand_over(
            act, lots=[lot_code(line.scanned) for line in facts["lots"]], party=facts["party"], paper_no=facts["paper_no"],
            note=facts["note"], happened_at=facts["happened_at"],
        )

    def said(self, receipt: Receipt, _form: HandOverForm) -> str:
        """Return what was handed over."""
        line, = move_lines(recent("entrusting", pk=receipt.step))
        return f"{line.what} {line.sentence}"

    def after(self, _receipt: Receipt, _form: HandOverForm) -> str:
        """Back to what is here."""
        return reverse("receiving-hire")
