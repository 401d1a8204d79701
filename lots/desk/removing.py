"""Taken out of stock: spilt, used in the house, given away, destroyed, or lowered in state or grade."""

from __future__ import annotations

from collections.abc import Mapping
from types import MappingProxyType
from typing import Any, ClassVar

from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.urls import reverse
from django.utils.translation import gettext as _
from django.utils.translation import ngettext
from django.views.decorators.http import require_safe

from lots.desk.access import may
from lots.desk.forms.plain import Answers
from lots.desk.forms.removing import DestroyForm, DowngradeForm, GiftForm, OwnUseForm, SpillForm
from lots.desk.recorded import Line, for_hands, step_line
from lots.desk.scanned import lot_code, told
from lots.desk.series_words import series_of
from lots.desk.weighed import WeighedView
from lots.desk.words import joined, mass, printed
from lots.models import Flow, Removal, Staff
from lots.read.names import lot_name, opened
from lots.read.persons import badge_of
from lots.read.recent import Recent, recent
from lots.read.registers import in_force
from lots.read.scanning import pack_scanned
from lots.record import removing
from lots.record.acts import Act, Receipt
from lots.record.errors import Refused
from lots.record.removing import Taken
from lots.trade.units import number_text

PAGES = ("shelving-out-spill", "shelving-out-use", "shelving-out-gift", "shelving-out-destroy", "shelving-out-lower")
LAST = 12


@require_safe
def board(request: HttpRequest) -> HttpResponse:
    """Show what can be done, and what was taken out last."""
    lines = for_hands(removal_lines(recent("removing", most=LAST)), may_correct=may(request.user, "corrections-adjust"))
    context = {page.replace("-", "_"): may(request.user, page) for page in PAGES}
    return render(request, "desk/removing.html", {"told": lines, **context})


class TakenView(WeighedView):
    """One way of taking tea out of stock. ``weighs`` says that nobody can mean all of a lot by typing nothing."""

    door = "shelving-out"
    line_of = MappingProxyType({"packs": "pack_count", "losses": "mass_mg"})
    weighs: ClassVar[bool] = True

    def taken(self, form: Any) -> Taken:
        """Return what is taken: packs where a series was scanned, else a mass."""
        facts = form.cleaned_data
        lot, unit = lot_code(facts["lot"]), series_of(facts["lot"])
        if unit is not None:
            pack = pack_scanned(facts["lot"].code) if facts["lot"].kind == "pack" else None
            first_no = facts.get("first_no") or (pack.pack_no if pack else None)
            return Taken(lot, pack_count=facts.get("pack_count") or (1 if pack else 0), first_no=first_no)
        if facts.get("mass_mg") is None and self.weighs:
            raise Refused(_("How much was it? Weigh it."), "mass_mg")
        return Taken(lot, form.weight("mass_mg") if facts.get("mass_mg") is not None else None)

    def said(self, receipt: Receipt, _form: Any) -> str:
        """Return what was taken out."""
        line, = removal_lines(recent("removing", pk=receipt.step))
        return joined([line.what, line.sentence])

    def so_far(self, _form: Any, facts: dict[str, Any]) -> dict[str, Any]:
        """Say which lot it is."""
        return {"reads": {"lot": told(facts.get("lot"))}}

    def after(self, _receipt: Receipt, _form: Any) -> str:
        """Back to what was taken out."""
        return reverse("shelving-out")


class SpillView(TakenView):
    """Tea that was spilt."""

    form_class = SpillForm
    template_name = "desk/removing_spill.html"
    page = "shelving-out-spill"

    def write(self, act: Act, form: Any) -> Receipt:
        """Write it down."""
        facts = form.cleaned_data
        return removing.spill(act, taken=self.taken(form), why=facts["why"], happened_at=facts["happened_at"])


class OwnUseView(TakenView):
    """Tea that the house used."""

    form_class = OwnUseForm
    template_name = "desk/removing_use.html"
    page = "shelving-out-use"

    def write(self, act: Act, form: Any) -> Receipt:
        """Write it down."""
        facts = form.cleaned_data
        return removing.own_use(act, taken=self.taken(form), why=facts["why"], happened_at=facts["happened_at"])


class GiftView(TakenView):
    """Tea that was given away."""

    form_class = GiftForm
    template_name = "desk/removing_gift.html"
    page = "shelving-out-gift"

    def write(self, act: Act, form: Any) -> Receipt:
        """Write it down."""
        facts = form.cleaned_data
        return removing.gift(
            act, taken=self.taken(form), recipient=facts["recipient"], contact=facts["contact"], why=facts["why"],
            happened_at=facts["happened_at"],
        )


class DestroyView(TakenView):
    """Tea that is destroyed."""

    form_class = DestroyForm
    template_name = "desk/removing_destroy.html"
    page = "shelving-out-destroy"
    weighs = False

    def options(self) -> dict[str, Any]:
        """Return who can be a witness: everybody of the house but the one who writes."""
        own = badge_of(self.request.user.get_username())
        rows = [row for row in in_force(Staff) if row.code != own]
        names = opened(row.name for row in rows)
        return {**super().options(), "people": Answers([(row.code, names.get(row.name, row.code)) for row in rows])}

    def write(self, act: Act, form: Any) -> Receipt:
        """Write it down."""
        facts = form.cleaned_data
        return removing.destroy(
            act, taken=self.taken(form), how=facts["how"], witness=facts.get("witness") or "", evidence=facts["evidence"],
            why=facts["why"], happened_at=facts["happened_at"],
        )


class DowngradeView(TakenView):
    """Leaf or powder that is lowered."""

    form_class = DowngradeForm
    template_name = "desk/removing_lower.html"
    page = "shelving-out-lower"
    weighs = False

    def write(self, act: Act, form: Any) -> Receipt:
        """Write it down."""
        facts = form.cleaned_data
        return removing.downgrade(
            act, taken=self.taken(form), state=facts["state"], grade=facts["grade"], why=facts["why"], happened_at=facts["happened_at"],
            maker_ref=facts["maker_ref"],
        )


def part_words() -> Mapping[str, str]:
    """Return what was done with tea, by the act."""
    return {"spill": _("spilt"), "own_use": _("used in the house"), "gift": _("given away"), "destroy": _("destroyed"),
            "downgrade": _("lowered")}


def removal_lines(steps: list[Recent]) -> list[Line]:
    """Return removals as entries, witnesses by name."""
    rows = Removal.objects.select_related("lot", "witness").in_bulk([step.step for step in steps])
    names = opened(row.witness.name for row in rows.values() if row.witness)
    return [removal_line(step, rows[step.step], names) for step in steps]


def removal_line(step: Recent, row: Removal, names: Mapping[str, str]) -> Line:
    """Return one removal as an entry: what, how much, why, who saw it."""
    taken = sum(line.mass_mg for line in step.of(Flow.Kind.IN))
    packs = ngettext("%(count)s pack", "%(count)s packs", row.pack_count) % {"count": number_text(row.pack_count, 0)}
    words = {"lot": lot_name(row.lot).name, "mass": packs if row.pack_count else mass(taken), "what": part_words()[step.part]}
    return step_line(step, _("%(lot)s, %(mass)s %(what)s.") % words, joined([lowered_words(step, row), *ground_words(row, names)]))


def lowered_words(step: Recent, row: Removal) -> str:
    """Return to what a lot was lowered."""
    if step.part != "downgrade":
        return ""
    states = {"in conversion": _("in conversion"), "conventional": _("conventional")}
    to = _(", ").join(word for word in (states.get(row.state, ""), row.grade) if word)
    made = step.of(Flow.Kind.OUT)
    lot = printed(made[0].code) if made else ""
    return _("From now on %(state)s: lot %(lot)s.") % {"state": to, "lot": lot}


def ground_words(row: Removal, names: Mapping[str, str]) -> list[str]:
    """Return why and how, evidence and witness."""
    found = [f"{text[:1].upper()}{text[1:].rstrip('.')}." for text in (row.why, row.how) if text]
    if row.evidence:
        found.append(_("Evidence: %(what)s.") % {"what": row.evidence.rstrip(".")})
    if row.witness:
        found.append(_("Seen by %(name)s.") % {"name": names.get(row.witness.name, row.witness.code)})
    return found
