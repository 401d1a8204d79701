"""Stock from before: lots that stood in the house when the book began."""

from __future__ import annotations

from typing import Any

from django.utils.translation import gettext as _

from lots.desk.forms.goods import OpeningForm
from lots.desk.forms.weighing import wet
from lots.desk.goods_words import count_words
from lots.desk.recorded import Line, step_line
from lots.desk.weighed import COARSE, WeighedView
from lots.desk.words import joined, material_word, printed
from lots.models import OpeningStock
from lots.read.recent import Recent, recent
from lots.record import opening
from lots.record.acts import Act, Receipt


class OpeningView(WeighedView):
    """A lot from before the book."""

    form_class = OpeningForm
    template_name = "desk/opening.html"
    page = "receiving-opening"
    door = "receiving"
    usual_scale = {"scale": COARSE}
    has_live = False

    def write(self, act: Act, form: OpeningForm) -> Receipt:
        """Enter the lot."""
        facts = form.cleaned_data
        return opening.stock(
            act, material=facts["material"], weighed=form.weight("weighed_mg"), paper_no=facts["paper_no"], origin=facts["origin"],
            moisture=wet(facts["moisture"]), sold_count=facts["sold_count"] or 0, sold_to=facts["sold_to"],
            happened_at=facts["happened_at"], maker_ref=facts["maker_ref"],
        )

    def said(self, receipt: Receipt, form: OpeningForm) -> str:
        """Return the read-back."""
        return _("%(mass)s of %(material)s from before the book: lot %(lot)s.") % {
            "mass": form.said("weighed_mg"), "material": material_word(form.cleaned_data["material"]), "lot": printed(receipt.lots[0]),
        }

    def more(self, _receipt: Receipt, _form: OpeningForm) -> str:
        """Say what the book will never know."""
        return _("Its origin counts as unknown in everything that is made of it.")

    def context(self) -> dict[str, Any]:
        """Return the last lots from before."""
        steps = recent("opening", ("stock",))
        rows = OpeningStock.objects.in_bulk([step.step for step in steps])
        return {"recorded": [stock_line(step, rows[step.step]) for step in steps]}


def stock_line(step: Recent, row: OpeningStock) -> Line:
    """Return one lot from before as an entry."""
    paper = _("Paper %(number)s: %(origin)s.") % {"number": row.paper_no, "origin": row.origin.rstrip(".")}
    sold = _("Packs sold before: %(count)s.") % {"count": count_words(row.sold_count)} if row.sold_count else ""
    return step_line(step, "", joined((paper, sold)))
