"""Bins: several lots of one material become one."""

from __future__ import annotations

from typing import Any

from django.utils.translation import gettext as _

from lots.desk.forms.house import CombiningForm
from lots.desk.forms.weighing import wet
from lots.desk.live import live_balance, typed_mass, wet_frac
from lots.desk.recorded import recorded
from lots.desk.scanned import lot_code
from lots.desk.sieving import fed_words, scanned_lots, tubs_words
from lots.desk.weighed import WeighedView, hint_masses
from lots.desk.words import printed
from lots.read.recent import last_time, recent
from lots.read.typing import one_sample, whole_lots
from lots.record import combining
from lots.record.acts import Act, Receipt
from lots.trade.weighing import Side, Weighing


class CombiningView(WeighedView):
    """Lots into a bin."""

    form_class = CombiningForm
    template_name = "desk/combining.html"
    page = "blending-bin"
    door = "blending"
    line_of = {"lot": "lots", "losses": "lost_as"}

    def dress(self, form: CombiningForm) -> None:
        """Show the last bin beside the field."""
        hint_masses(form, last_time("combining", "combine"), {})

    def write(self, act: Act, form: CombiningForm) -> Receipt:
        """Write the bin down."""
        facts = form.cleaned_data
        return combining.combine(
            act, lots=[lot_code(line.scanned) for line in facts["lots"]], together=form.weight("together_mg"),
            moisture=wet(facts["moisture"]), losses=form.losses, bin_name=facts["bin_name"], why=facts["why"],
            happened_at=facts["happened_at"], maker_ref=facts["maker_ref"],
        )

    def said(self, receipt: Receipt, form: CombiningForm) -> str:
        """Return the read-back: how much in one lot."""
        return _("%(mass)s together: lot %(lot)s.") % {"mass": form.said("together_mg"), "lot": printed(receipt.lots[0])}

    def so_far(self, form: CombiningForm, facts: dict[str, Any]) -> dict[str, Any]:
        """Say what goes in, and how it adds up."""
        lots, unknown = scanned_lots(facts.get("lots") or ())
        fed = whole_lots({lot.pk: lot for lot in lots}.values())
        reads = {"lots": tubs_words(lots, unknown)}
        if not lots:
            return {"reads": reads}
        material = lots[0].material
        like = one_sample(fed)
        typed_wet = {"moisture_frac": wet_frac(facts, "moisture") if like or facts.get("moisture") else mean_frac(fed), "like": like}
        typed = [
            typed_mass(form, facts, "together_mg", Side.OUT, material, **typed_wet),
            typed_mass(form, facts, "lost_mg", Side.LOST, material, **typed_wet),
        ]
        return {"reads": reads, "rate": fed_words(fed), **live_balance(fed, typed, "combining")}

    def context(self) -> dict[str, Any]:
        """Return the last bins."""
        return {"recorded": recorded(recent("combining", ("combine",)))}


def mean_frac(fed: list[Weighing]) -> float | None:
    """Return the moisture of lots together by mass, None where one of them is not known."""
    total = sum(line.mass_mg for line in fed)
    if total <= 0 or any(line.moisture_frac is None for line in fed):
        return None
    return sum(line.mass_mg * (line.moisture_frac or 0.0) for line in fed) / total
