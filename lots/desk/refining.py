"""Sorting: crude leaf becomes refined leaf, ready for the stones, and three by-products."""

from __future__ import annotations

from typing import Any

from django.utils.translation import gettext as _

from lots.desk.forms.refining import RefiningForm
from lots.desk.forms.weighing import wet
from lots.desk.live import live_balance, typed_mass, wet_frac
from lots.desk.recorded import ready, recorded
from lots.desk.scanned import lot_code, lot_of, told
from lots.desk.weighed import WeighedView, hint_masses, hint_moisture
from lots.desk.words import language, mass, printed
from lots.models import MoistureRule
from lots.read.recent import last_time, recent
from lots.read.typing import assumed_frac, rules, whole_lots
from lots.read.waiting import waiting
from lots.record import refining
from lots.record.acts import Act, Receipt
from lots.record.lines import Moisture
from lots.trade.units import percent_text
from lots.trade.weighing import Side

BY_PRODUCTS = ("vein_stem", "fines", "off_colour")


class RefiningView(WeighedView):
    """A sorting batch: four numbers, one live sum."""

    form_class = RefiningForm
    template_name = "desk/refining.html"
    page = "refining"
    door = "today"

    def options(self) -> dict[str, Any]:
        """Return scales and sorting lines."""
        return {**super().options(), "sorter": self.machines("sorter")}

    def dress(self, form: RefiningForm) -> None:
        """Show the last batch beside the fields, and what is assumed of by-products."""
        last, known = last_time("refining", "batch"), rules()
        hint_masses(form, last, {"refined_mg": "refined_leaf", **{f"{m}_mg": m for m in BY_PRODUCTS}})
        hint_moisture(form, last, "moisture", "refined_leaf")
        for material in BY_PRODUCTS:
            frac = assumed_frac(material, known)
            if frac is not None:
                form.fields[f"{material}_mg"].help_text = _("The house assumes %(share)s moisture, wet basis; 0 if none.") % {
                    "share": percent_text(frac, 1, language()),
                }

    def write(self, act: Act, form: RefiningForm) -> Receipt:
        """Write the sorting down."""
        facts = form.cleaned_data
        return refining.batch(
            act, lot=lot_code(facts["lot"]), refined=form.weight("refined_mg"), refined_moisture=wet(facts["moisture"]),
            by_products={m: form.weight(f"{m}_mg") for m in BY_PRODUCTS}, by_product_moistures=assumed_moistures(rules()),
            losses=form.losses, sorter=facts.get("sorter") or "", pass_count=facts["pass_count"], grade=facts["grade"],
            shelf=facts["shelf"], happened_at=facts["happened_at"], maker_ref=facts["maker_ref"],
        )

    def said(self, receipt: Receipt, form: RefiningForm) -> str:
        """Return the read-back of the batch."""
        return _("Refined leaf %(mass)s: lot %(lot)s.") % {
            "mass": form.said("refined_mg"), "lot": printed(receipt.lots[0]),
        }

    def so_far(self, form: RefiningForm, facts: dict[str, Any]) -> dict[str, Any]:
        """Say which leaf it is, and the sum of the four streams."""
        crude, known = lot_of(facts.get("lot")), rules()
        fed = whole_lots([crude]) if crude else []
        typed = [typed_mass(form, facts, "refined_mg", Side.OUT, "refined_leaf", moisture_frac=wet_frac(facts, "moisture"))]
        typed += [
            typed_mass(form, facts, f"{m}_mg", Side.OUT, m, moisture_frac=assumed_frac(m, known)) for m in BY_PRODUCTS
        ]
        if fed:
            typed.append(typed_mass(form, facts, "lost_mg", Side.LOST, "crude_leaf", like=fed[0]))
        total = sum(one.mass_mg for one in typed)
        rate = _("The streams weigh %(mass)s together.") % {"mass": mass(total)} if total else ""
        return {"reads": {"lot": told(facts.get("lot"))}, "rate": rate, **live_balance(fed, typed, "refining")}

    def context(self) -> dict[str, Any]:
        """Return what waits for sorting, and the last batches."""
        return {
            "ready": ready(waiting(["crude_leaf"]), "refining", "lot", _("Sort it")),
            "recorded": recorded(recent("refining", ("batch",))),
        }


def assumed_moistures(known: dict[str, MoistureRule]) -> dict[str, Moisture]:
    """Return the moistures that the house assumes of by-products, marked as assumed."""
    return {
        material: Moisture(known[material].assumed_frac, "assumed")
        for material in BY_PRODUCTS
        if assumed_frac(material, known) is not None
    }
