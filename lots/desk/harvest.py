"""Leaf in: the slip of a delivery."""

from __future__ import annotations

import datetime as dt
from typing import Any

from django.utils import timezone
from django.utils.translation import gettext as _

from lots.desk.bag_words import bag_words, bags_text, round_words, summed
from lots.desk.field_words import lawful_words, shade_words
from lots.desk.forms.harvest import BagsForm, IntakeForm
from lots.desk.forms.registers import choices_of
from lots.desk.forms.weighing import wet
from lots.desk.recorded import recorded
from lots.desk.scanned import code_in
from lots.desk.weighed import COARSE, WeighedView, hint_masses, hint_moisture
from lots.desk.words import decimals, joined, language, mass, printed, state_word
from lots.models import Cultivar, FieldPlot, Hold, Party
from lots.read.fields import PlotFacts, next_flush, plantings_of, plot_facts
from lots.read.recent import last_time, recent
from lots.read.registers import in_force, named
from lots.record import harvest
from lots.record.acts import Act, Receipt
from lots.record.errors import Refused
from lots.trade.units import date_text


class IntakeView(WeighedView):
    """A delivery: the plot's card says grower and cultivar; hands add bags and kilograms."""

    form_class = IntakeForm
    template_name = "desk/harvest.html"
    page = "harvest"
    door = "today"
    usual_scale = {"scale": COARSE}

    def options(self) -> dict[str, Any]:
        """Return scales and cultivars."""
        cultivars = [(row.code, row.name) for row in in_force(Cultivar)]
        return {**super().options(), "cultivars": cultivars, "carriers": carriers()}

    def linked(self) -> dict[str, str]:
        """The clock knows today."""
        return {"plucked_on": timezone.localdate().isoformat(), **super().linked()}

    def dress(self, form: IntakeForm) -> None:
        """Show the last delivery beside the fields."""
        last = last_time("harvest", "intake")
        hint_masses(form, last, {"fresh_mg": "fresh_leaf"})
        hint_moisture(form, last, "moisture", "fresh_leaf")

    def write(self, act: Act, form: IntakeForm) -> Receipt:
        """Take the leaf in."""
        facts, came = form.cleaned_data, form.delivery()
        plot = code_in(FieldPlot, facts["plot"])
        return harvest.intake(
            act, plot=plot, cultivar=facts["cultivar"] or only_cultivar(plot), plucked_on=facts["plucked_on"],
            flush_no=int(facts["flush_no"] or next_flush(plot, facts["plucked_on"])),
            bag_count=came.bag_count, fresh=came.fresh, bags_mg=came.bags_mg, moisture=wet(facts["moisture"]),
            basis=facts["moisture"].basis.value if facts["moisture"] else "wet", happened_at=facts["happened_at"],
            maker_ref=facts["maker_ref"], plucked=form.plucked, water=form.water,
        )

    def said(self, receipt: Receipt, form: IntakeForm) -> str:
        """Return the read-back of the slip."""
        came = form.delivery()
        return _("%(mass)s of fresh leaf in %(bags)s: lot %(lot)s.") % {
            "mass": came.said, "bags": bags_text(came.bag_count), "lot": printed(receipt.lots[0]),
        }

    def more(self, receipt: Receipt, form: IntakeForm) -> str:
        """Say what was deducted, and that a lot is held."""
        water = form.water
        less = _("%(mass)s of water deducted: %(reason)s.") % {
            "mass": mass(water.mass_mg), "reason": water.reason} if water else ""
        held = _("The lot is held: it was plucked too early.") if Hold.objects.filter(entry=receipt.seq).exists() else ""
        return joined((less, held))

    def so_far(self, _form: IntakeForm, facts: dict[str, Any]) -> dict[str, Any]:
        """Say what the book knows of the plot, and what a bag and an are come to."""
        facts = summed(facts)
        on = facts.get("plucked_on")
        on = on if isinstance(on, dt.date) else timezone.localdate()
        scanned = facts.get("plot")
        plot = named(FieldPlot, scanned.typed) if scanned else None
        if plot is None:
            unknown = _("No plot %(code)s is in the register.") % {"code": scanned.typed} if scanned else ""
            return {"reads": {"plot": unknown}, "say": bag_words(facts)}
        told = plot_facts(plot, on)
        day = _("Plucked on %(day)s.") % {"day": date_text(on, language())}
        rate = joined((day, round_words(told, facts)))
        return {"reads": {"plot": plot_sentence(told, on)}, "say": bag_words(facts), "rate": rate}

    def context(self) -> dict[str, Any]:
        """Return the last deliveries."""
        return {"recorded": recorded(recent("harvest", ("intake",)))}


class BagsView(IntakeView):
    """A delivery bag by bag: the card once, then one number and Enter for each bag."""

    form_class = BagsForm
    template_name = "desk/harvest_bags.html"
    page = "harvest-bags"
    door = "harvest"

    def dress(self, form: BagsForm) -> None:
        """Show the last moisture beside its field."""
        hint_moisture(form, last_time("harvest", "intake"), "moisture", "fresh_leaf")


def carriers() -> list[tuple[str, str]]:
    """Return the parties that bring leaf."""
    return choices_of([row for row in in_force(Party) if "carrier" in row.roles.split()])


def only_cultivar(plot: str) -> str:
    """Return the cultivar of a plot on which one stands; several must be told apart by hand."""
    standing = plantings_of(plot)
    if len(standing) > 1:
        names = {"cultivars": _(" and ").join(name for _code, name in standing), "plot": plot}
        raise Refused(_("%(cultivars)s stand on plot %(plot)s. Choose the one that was plucked.") % names, "cultivar")
    if not standing and named(FieldPlot, plot):
        raise Refused(_("No cultivar is entered for plot %(plot)s. Choose the one that was plucked.") % {"plot": plot}, "cultivar")
    return standing[0][0] if standing else ""


def plot_sentence(plot: PlotFacts, on: dt.date) -> str:
    """Return a plot in words: who, what stands there, how long it was covered, from when it may be plucked."""
    cultivars = _(" and ").join(name for _code, name in plot.plantings)
    words = [plot.name, _("%(area)s a") % {"area": decimals(plot.area_a)}, plot.grower, cultivars, state_word(plot.state)]
    first = _("%(what)s.") % {"what": _(", ").join(word for word in words if word)}
    early = plot.lawful_from_on is not None and plot.lawful_from_on > on
    held = _("Leaf that is plucked earlier is held until the quality lead releases it.") if early else ""
    return joined((first, shade_words(plot.shade), lawful_words(plot.lawful_from_on, plot.lawful_by, on), held))
