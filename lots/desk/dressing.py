"""Log a dressing: a new version of the stone pair, from which its hours and its rate are counted anew."""

from __future__ import annotations

from decimal import Decimal
from typing import Any

from django.utils.translation import gettext as _

from lots.desk.forms.milling import DressingForm
from lots.desk.milling import pair_sentence
from lots.desk.recording import ActView
from lots.desk.scanned import code_in
from lots.models import StonePair
from lots.read.grinding import written_before
from lots.read.grit import stands_in_register
from lots.read.milling import dressed_h, open_run
from lots.read.registers import named
from lots.read.stones import pairs_now
from lots.record import registers
from lots.record.acts import Act, Receipt
from lots.record.errors import Refused


class DressingView(ActView):
    """Stones were taken apart."""

    form_class = DressingForm
    template_name = "desk/milling_dressing.html"
    page = "milling-dressing"
    door = "milling"

    def write(self, act: Act, form: DressingForm) -> Receipt:
        """Enter the pair anew: a new pin keeps its hours, anything else begins them at nothing."""
        facts = form.cleaned_data
        pair = named(StonePair, facts["pair"].typed)
        if pair is None:
            raise Refused(_("No stone pair %(code)s is in the register.") % {"code": facts["pair"].typed}, "pair")
        if written_before(act.id) is None:
            self.must_stand_idle(pair)
        hours = dressed_h(pair) if facts["what"] == "pin" else Decimal(0)
        parts = {name: facts[name] or getattr(pair, name) for name in ("upper", "lower", "pin")}
        fields = {"equipment": pair.equipment.code, "dressed_h": hours, **parts}
        return registers.enter(act, table="stone_pair", code=pair.code, fields=fields, valid_from_at=facts["happened_at"])

    def must_stand_idle(self, pair: StonePair) -> None:
        """Stones that are taken apart hold no leaf."""
        run = open_run(pair.code)
        if run is not None:
            msg = _("Pair %(pair)s still runs job %(job)s. End that run with its left-over first.")
            raise Refused(msg % {"pair": pair.code, "job": run.job or _("without a name")}, "pair")

    def said(self, _receipt: Receipt, form: DressingForm) -> str:
        """Return what was logged."""
        pair = code_in(StonePair, form.cleaned_data["pair"])
        if form.cleaned_data["what"] == "pin":
            return _("Pair %(pair)s has a new pin; its hours since dressing go on.") % {"pair": pair}
        return _("Pair %(pair)s is dressed; its hours begin at 0.") % {"pair": pair}

    def more(self, _receipt: Receipt, form: DressingForm) -> str:
        """Say what waits for a grit check: the first tub of stones that stand in the register."""
        pair = named(StonePair, form.cleaned_data["pair"].typed)
        if pair is not None and stands_in_register(pair):
            return _("Its first tub is stopped until its grit check is clean.")
        return _("Its stones are not in the register of stones: its first tub is not stopped by itself. Look for grit in it.")

    def so_far(self, _form: DressingForm, facts: dict[str, Any]) -> dict[str, Any]:
        """Say which pair it is."""
        scanned = facts.get("pair")
        row = named(StonePair, scanned.typed) if scanned else None
        if row is None:
            return {"reads": {"pair": _("No stone pair %(code)s is in the register.") % {"code": scanned.typed} if scanned else ""}}
        return {"reads": {"pair": pair_sentence(pairs_now([row.code])[0])}}
