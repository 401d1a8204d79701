"""Grit check of the first tub after a dressing."""

from __future__ import annotations

from typing import Any

from django.urls import reverse
from django.utils.translation import gettext as _

from lots.desk.forms.checks import NO, YES, GritForm
from lots.desk.recorded import Line
from lots.desk.recording import ActView
from lots.desk.scanned import lot_code, told
from lots.desk.ways import way
from lots.read.grit import GritWaiting, grit_waiting
from lots.record import grit
from lots.record.acts import Act, Receipt


def grit_line(one: GritWaiting) -> Line:
    """Return a tub that waits, as an entry that puts it into the scan line."""
    said = _("Grit was found: keep it apart.") if one.found else one.reason
    return Line(one.since_at, _("%(lot)s.") % {"lot": one.lot.name}, said, way("checks-grit", lot=one.lot.code), _("Look for grit"))


class GritView(ActView):
    """A tub is looked at for grit."""

    form_class = GritForm
    template_name = "desk/grit.html"
    page = "checks-grit"
    door = "checks"
    line_of = {"clean": "clean_powder"}

    def write(self, act: Act, form: GritForm) -> Receipt:
        """Write the check down."""
        facts = form.cleaned_data
        return grit.check(
            act, lot=lot_code(facts["lot"]), clean=facts["clean_powder"] == YES, looked=facts["looked"], happened_at=facts["happened_at"],
        )

    def said(self, _receipt: Receipt, form: GritForm) -> str:
        """Return what that means for the tub."""
        lot = {"lot": lot_code(form.cleaned_data["lot"])}
        if form.cleaned_data["clean_powder"] == NO:
            return _("Grit in lot %(lot)s: it stays stopped. Stop the pair, open it, look at rim and pin, and throw the powder away.") % lot
        return _("Lot %(lot)s is clean and free to go on.") % lot

    def so_far(self, _form: GritForm, facts: dict[str, Any]) -> dict[str, Any]:
        """Say which tub it is."""
        return {"reads": {"lot": told(facts.get("lot"))}}

    def context(self) -> dict[str, Any]:
        """Return the tubs that wait."""
        return {"ready": [grit_line(one) for one in grit_waiting()]}

    def after(self, _receipt: Receipt, _form: GritForm) -> str:
        """The next tub."""
        return reverse(self.page)
