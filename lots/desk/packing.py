"""Tins and bags: a packing run of whole lots of powder."""

from __future__ import annotations

from types import MappingProxyType
from typing import Any

from django.urls import reverse
from django.utils import timezone
from django.utils.translation import gettext as _
from django.utils.translation import ngettext

from lots.desk.forms.packing import PackingForm, names
from lots.desk.forms.weighing import wet
from lots.desk.live import live_balance, typed_mass, wet_frac
from lots.desk.recorded import Line, ready, step_line
from lots.desk.scanned import lot_code
from lots.desk.sieving import fed_words, scanned_lots, tubs_words
from lots.desk.weighed import FINE, WeighedView, hint_masses
from lots.desk.words import decimals, joined, language, printed
from lots.models import PackedUnit, Product
from lots.read.keeping_rule import rule_of
from lots.read.names import lot_name
from lots.read.recent import Recent, last_time, recent
from lots.read.registers import in_force
from lots.read.typing import TypedMass, one_sample, whole_lots
from lots.read.waiting import waiting
from lots.record import packing
from lots.record.acts import Act, Receipt
from lots.trade.units import g_text, number_text
from lots.trade.weighing import Side

RUNS_SHOWN, RUNS_LOOKED_AT = 5, 40


class PackingView(WeighedView):
    """A packing run."""

    form_class = PackingForm
    template_name = "desk/packing.html"
    page = "packing"
    door = "today"
    line_of = MappingProxyType({"lot": "lots", "losses": "lost_as", "room_rh_frac": "room_rh", "oxygen_frac": "oxygen"})
    usual_scale = {"scale": FINE}

    def options(self) -> dict[str, Any]:
        """Return scales, products and fillers."""
        return {**super().options(), "products": list(in_force(Product)), "filler": self.machines("filler")}

    def linked(self) -> dict[str, str]:
        """The clock knows today."""
        return {"packed_on": timezone.localdate().isoformat(), **super().linked()}

    def dress(self, form: PackingForm) -> None:
        """Show what each pack should hold, and last time's bulk."""
        hint_masses(form, last_time("packing", "run"), {"bulk_mg": "bulk_powder"})
        for product in form.products:
            declared = _("The label says %(net)s each.") % {"net": g_text(product.net_mg)}
            keeps = _("Best before: %(rule)s.") % {"rule": rule_of(product).words(language())}
            form.fields[names(product.code)[1]].help_text = joined([declared, keeps])

    def write(self, act: Act, form: PackingForm) -> Receipt:
        """Write the run down."""
        facts = form.cleaned_data
        return packing.pack(
            act, lots=[lot_code(line.scanned) for line in facts["lots"]], series=form.series, bulk=form.weight("bulk_mg"),
            losses=form.losses, filler=facts.get("filler") or "", moisture=wet(facts["moisture"]), packed_on=facts["packed_on"],
            closed=form.closed, happened_at=facts["happened_at"], maker_ref=facts["maker_ref"],
        )

    def said(self, receipt: Receipt, form: PackingForm) -> str:
        """Return the read-back: each series with its lot."""
        series = _("; ").join(
            _("%(packs)s, lot %(lot)s") % {"packs": packs_text(one.pack_count), "lot": printed(lot)}
            for one, lot in zip(form.series, receipt.lots, strict=False)
        )
        return _("Packed: %(series)s.") % {"series": series}

    def so_far(self, form: PackingForm, facts: dict[str, Any]) -> dict[str, Any]:
        """Say which powder it is, what a pack comes to, and how the run adds up."""
        lots, unknown = scanned_lots(facts.get("lots") or ())
        fed = whole_lots(lots)
        typed_wet = {"moisture_frac": wet_frac(facts, "moisture"), "like": one_sample(fed)}
        masses = [names(p.code)[1] for p in form.products] + ["kept_mg"]
        typed: list[TypedMass] = [
            typed_mass(form, facts, name, Side.OUT, "packed_tea", **typed_wet) for name in masses if facts.get(name)
        ]
        typed.append(typed_mass(form, facts, "bulk_mg", Side.OUT, "bulk_powder", **typed_wet))
        typed.append(typed_mass(form, facts, "lost_mg", Side.LOST, "packed_tea", **typed_wet))
        rate = joined((fed_words(fed), mean_words(form, facts)))
        return {"reads": {"lots": tubs_words(lots, unknown)}, "rate": rate, **live_balance(fed, typed, "packing")}

    def context(self) -> dict[str, Any]:
        """Return the powder that waits, and the last runs."""
        return {
            "ready": ready(waiting(["sieved_powder", "bulk_powder"]), "packing", "lots", _("Pack it")),
            "recorded": runs(recent("packing", ("run",))),
            "run_ways": run_ways(),
        }


def packs_text(count: int) -> str:
    """Return a count of packs."""
    return ngettext("%(count)s pack", "%(count)s packs", count) % {"count": number_text(count, 0)}


def mean_words(form: PackingForm, facts: dict[str, Any]) -> str:
    """Return what one pack of each series holds in the mean, against its label."""
    said = []
    for product in form.products:
        count, mass_mg = (facts.get(name) for name in names(product.code))
        if count and mass_mg:
            said.append(_("%(name)s: %(mean)s g each, the label says %(net)s.") % {
                "name": form.packs_words(product), "mean": decimals(mass_mg / count / 1000, 2), "net": g_text(product.net_mg),
            })
    return joined(said)


def run_ways() -> list[dict[str, str]]:
    """Return the newest runs, each with the way to its page."""
    found: dict[int, str] = {}
    for unit in PackedUnit.objects.select_related("lot").order_by("-step_id", "first_no")[:RUNS_LOOKED_AT]:
        found.setdefault(unit.step_id, lot_name(unit.lot).name)
    return [{"name": name, "href": reverse("packing-run", args=[step])} for step, name in list(found.items())[:RUNS_SHOWN]]


def runs(steps: list[Recent]) -> list[Line]:
    """Return packing runs as entries: the packs of each, not their lots."""
    made: dict[int, list[PackedUnit]] = {step.step: [] for step in steps}
    for unit in PackedUnit.objects.filter(step__in=list(made)).select_related("product", "lot").order_by("first_no"):
        made[unit.step_id].append(unit)
    return [step_line(step, run_words(made[step.step])) for step in steps]


def run_words(units: list[PackedUnit]) -> str:
    """Return the packs of a run."""
    packed = [unit for unit in units if not unit.retained]
    said = _(", ").join(
        _("%(packs)s of %(net)s") % {"packs": packs_text(unit.pack_count), "net": g_text(unit.product.net_mg)} for unit in packed
    )
    return _("%(lot)s: %(packs)s.") % {"lot": units[0].lot if units else "", "packs": said}
