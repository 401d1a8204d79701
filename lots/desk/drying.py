"""Oven: one batch is one lot of fresh leaf, with its crude leaf and its stem."""

from __future__ import annotations

from typing import Any

from django.utils.translation import gettext as _

from lots.desk.forms.drying import DryingForm
from lots.desk.forms.weighing import wet
from lots.desk.live import live_balance, typed_mass, wet_frac
from lots.desk.recorded import ready, recorded
from lots.desk.scanned import lot_code, lot_of, told
from lots.desk.weighed import WeighedView, hint_masses, hint_moisture
from lots.desk.words import printed
from lots.read.recent import last_time, recent
from lots.read.typing import assumed_frac, rules, whole_lots
from lots.read.waiting import waiting
from lots.record import drying
from lots.record.acts import Act, Receipt
from lots.record.lines import Moisture
from lots.trade.weighing import Side


class DryingView(WeighedView):
    """An oven batch."""

    form_class = DryingForm
    template_name = "desk/drying.html"
    page = "drying"
    door = "today"

    def options(self) -> dict[str, Any]:
        """Return scales and ovens."""
        return {**super().options(), "oven": self.machines("oven")}

    def dress(self, form: DryingForm) -> None:
        """Show the last batch beside the fields."""
        last = last_time("drying", "batch")
        hint_masses(form, last, {"crude_mg": "crude_leaf", "stem_mg": "stem"})
        hint_moisture(form, last, "crude_moisture", "crude_leaf")
        hint_moisture(form, last, "stem_moisture", "stem")

    def write(self, act: Act, form: DryingForm) -> Receipt:
        """Write the batch down."""
        facts = form.cleaned_data
        tier = facts["lower_tier_c"]
        return drying.batch(
            act, lot=lot_code(facts["lot"]), crude=form.weight("crude_mg"), crude_moisture=wet(facts["crude_moisture"]),
            stem=form.weight("stem_mg") if facts["stem_mg"] else None,
            stem_moisture=wet(facts["stem_moisture"]) or assumed("stem"), oven=facts.get("oven") or "", losses=form.losses,
            lower_tier_c=None if tier is None else int(tier), happened_at=facts["happened_at"], maker_ref=facts["maker_ref"],
        )

    def said(self, receipt: Receipt, form: DryingForm) -> str:
        """Return the read-back of the batch."""
        return _("Crude leaf %(crude)s, stem %(stem)s: lot %(lot)s.") % {
            "crude": form.said("crude_mg"), "stem": form.said("stem_mg"), "lot": printed(receipt.lots[0]),
        }

    def so_far(self, form: DryingForm, facts: dict[str, Any]) -> dict[str, Any]:
        """Say which leaf it is, and how the batch adds up so far."""
        fresh = lot_of(facts.get("lot"))
        stem_frac = wet_frac(facts, "stem_moisture")
        typed = [
            typed_mass(form, facts, "crude_mg", Side.OUT, "crude_leaf", moisture_frac=wet_frac(facts, "crude_moisture")),
            typed_mass(form, facts, "stem_mg", Side.OUT, "stem",
                       moisture_frac=assumed_frac("stem", rules()) if stem_frac is None else stem_frac),
            typed_mass(form, facts, "lost_mg", Side.LOST, "crude_leaf", moisture_frac=wet_frac(facts, "crude_moisture")),
        ]
        said = live_balance(whole_lots([fresh]), typed, "drying") if fresh else {}
        return {"reads": {"lot": told(facts.get("lot"))}, **said}

    def context(self) -> dict[str, Any]:
        """Return what waits for the oven, and the last batches."""
        return {
            "ready": ready(waiting(["fresh_leaf"]), "drying", "lot", _("Put it in the oven")),
            "recorded": recorded(recent("drying", ("batch",))),
        }


def assumed(material: str) -> Moisture | None:
    """Return the moisture that the house assumes of a by-product, marked as assumed."""
    frac = assumed_frac(material, rules())
    return None if frac is None else Moisture(rules()[material].assumed_frac, "assumed")
