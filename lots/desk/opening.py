"""Stock from before: lots that stood in the house when the book began."""

from __future__ import annotations

from typing import Any

from django.utils.translation import gettext as _

from lots.desk.forms.goods import OpeningForm
from lots.desk.forms.weighing import wet
from lots.desk.recorded import recorded
from lots.desk.weighed import COARSE, WeighedView
from lots.desk.words import material_word, printed
from lots.read.recent import recent
from lots.record import opening
from lots.record.acts import Act, Receipt


class OpeningView(WeighedView):
    """Enter a lot from before the book."""

    form_class = OpeningForm
    template_name = "desk/opening.html"
    page = "opening"
    door = "receiving"
    usual_scale = {"scale": COARSE}

    def write(self, act: Act, form: OpeningForm) -> Receipt:
        """Write the lot down."""
        facts = form.cleaned_data
        return opening.stock(
            act, material=facts["material"], weighed=form.weight("weighed_mg"), paper_no=facts["paper_no"], origin=facts["origin"],
            moisture=wet(facts["moisture"]), sold_count=facts["sold_count"] or 0, sold_to=facts["sold_to"],
            happened_at=facts["happened_at"], maker_ref=facts["maker_ref"],
        )

    def said(self, receipt: Receipt, form: OpeningForm) -> str:
        """Return the read-back of the lot."""
        return _("%(mass)s of %(what)s from before the book: lot %(lot)s.") % {
            "mass": form.said("weighed_mg"), "what": material_word(form.cleaned_data["material"]), "lot": printed(receipt.lots[0]),
        }

    def context(self) -> dict[str, Any]:
        """Return the lots that were entered of late."""
        return {"recorded": recorded(recent("opening", ("stock",)))}
