"""Back from hire: what another mill ground is weighed at the door."""

from __future__ import annotations

from django.urls import reverse
from django.utils.translation import gettext as _

from lots.desk.forms.hiring import BackForm
from lots.desk.forms.weighing import wet
from lots.desk.scanned import lot_code
from lots.desk.weighed import WeighedView
from lots.desk.words import printed
from lots.record import hiring
from lots.record.acts import Act, Receipt


class BackView(WeighedView):
    """Powder and left-over that come home."""

    form_class = BackForm
    template_name = "desk/hiring_back.html"
    page = "receiving-back"
    door = "receiving-hire"
    has_live = False

    def write(self, act: Act, form: BackForm) -> Receipt:
        """Write it down."""
        facts = form.cleaned_data
        return hiring.back(
            act, lots=[lot_code(line.scanned) for line in facts["lots"]], powder=form.weight("powder_mg"), left_over=form.weight("left_mg"),
            paper_no=facts["paper_no"], moisture=wet(facts["moisture"]), sieved=facts["sieved"] == "yes", note=facts["note"],
            happened_at=facts["happened_at"], maker_ref=facts["maker_ref"],
        )

    def said(self, receipt: Receipt, form: BackForm) -> str:
        """Return what came back."""
        return _("%(mass)s of powder came back: lot %(lot)s.") % {"mass": form.said("powder_mg"), "lot": printed(receipt.lots[0])}

    def after(self, _receipt: Receipt, _form: BackForm) -> str:
        """Back to what is away."""
        return reverse("receiving-hire")
