"""Magnet and metal detector: two buttons for each test piece, and what was found."""

from __future__ import annotations

import uuid
from dataclasses import dataclass
from typing import Any

from django.urls import reverse
from django.utils.translation import gettext as _
from django.utils.translation import ngettext

from lots.desk.forms.checks import NO, YES, FindForm, PieceForm
from lots.desk.recording import ActView
from lots.desk.saying import clock_text, short_day_text
from lots.desk.scanned import code_in, lot_code, told, told_thing
from lots.models import Equipment, Step, TestPiece
from lots.read.detecting import PieceNow, Stopped, pieces_now, stopped_by
from lots.read.registers import named
from lots.record import detecting
from lots.record.acts import Act, Receipt
from lots.trade.units import number_text


@dataclass(frozen=True, slots=True)
class PieceButtons:
    """A test piece with its two buttons: each is one act under an id of its own."""

    code: str
    what: str
    last: str
    act_id: str


def piece_words(code: str, metal: str, size_mm: str, machine: str) -> str:
    """Return a test piece in words."""
    return _("%(code)s, %(metal)s %(size)s mm, for %(machine)s") % {"code": code, "metal": metal, "size": size_mm, "machine": machine}


def last_words(piece: PieceNow) -> str:
    """Return when a piece was sent through last, and whether it was seen."""
    if piece.tested_at is None:
        return _("Never sent through.")
    said = _("Seen %(day)s %(clock)s.") if piece.seen else _("Not seen %(day)s %(clock)s.")
    return said % {"day": short_day_text(piece.tested_at), "clock": clock_text(piece.tested_at)}


def buttons() -> list[PieceButtons]:
    """Return every test piece in use with its buttons."""
    return [
        PieceButtons(p.code, piece_words(p.code, p.metal, p.size_mm, p.machine), last_words(p), str(uuid.uuid4())) for p in pieces_now()
    ]


def stopped_words(stopped: Stopped) -> str:
    """Return how much a test stopped."""
    if not stopped.lot_count:
        return _("Nothing went through since that is not stopped already.")
    lots = ngettext("%(count)d lot", "%(count)d lots", stopped.lot_count) % {"count": stopped.lot_count}
    packs = ngettext("%(count)s pack", "%(count)s packs", stopped.pack_count) % {"count": number_text(stopped.pack_count, 0)}
    return _("%(lots)s are stopped, with %(packs)s in them or made of them.") % {"lots": lots, "packs": packs}


class PieceView(ActView):
    """A test piece goes through."""

    form_class = PieceForm
    template_name = "desk/detecting.html"
    page = "checks-piece"
    door = "checks"

    def write(self, act: Act, form: PieceForm) -> Receipt:
        """Write the test down."""
        facts = form.cleaned_data
        return detecting.send_through(
            act, piece=code_in(TestPiece, facts["piece"]), seen=facts["seen"] == YES, happened_at=facts.get("happened_at"),
        )

    def said(self, _receipt: Receipt, form: PieceForm) -> str:
        """Return whether it was seen."""
        piece = {"piece": code_in(TestPiece, form.cleaned_data["piece"])}
        return (_("%(piece)s was not seen.") if form.cleaned_data["seen"] == NO else _("%(piece)s was seen.")) % piece

    def more(self, receipt: Receipt, form: PieceForm) -> str:
        """Say what is stopped, and what to do."""
        if form.cleaned_data["seen"] == YES:
            return ""
        step = Step.objects.get(pk=receipt.step)
        return f"{stopped_words(stopped_by(step.entry_id))} {_('Stop the line, set the machine right, and send all of it through again.')}"

    def so_far(self, _form: PieceForm, facts: dict[str, Any]) -> dict[str, Any]:
        """Say which piece it is."""
        scanned = facts.get("piece")
        row = named(TestPiece, scanned.typed) if scanned else None
        if row is None:
            unknown = _("No test piece %(code)s is in the register.") % {"code": scanned.typed} if scanned else ""
            return {"reads": {"piece": unknown}}
        return {"reads": {"piece": piece_words(row.code, row.metal, f"{row.size_mm.normalize():f}", row.equipment.code)}}

    def context(self) -> dict[str, Any]:
        """Return the pieces with their buttons."""
        return {"pieces": buttons()}


class FindView(ActView):
    """Something was found."""

    form_class = FindForm
    template_name = "desk/detecting_find.html"
    page = "checks-find"
    door = "checks"

    def write(self, act: Act, form: FindForm) -> Receipt:
        """Write the find down."""
        facts = form.cleaned_data
        return detecting.find(
            act, equipment=code_in(Equipment, facts["equipment"]), lot=lot_code(facts["lot"]), what=facts["what"],
            found_where=facts["found_where"], size_mm=facts["size_mm"], happened_at=facts["happened_at"],
        )

    def said(self, _receipt: Receipt, form: FindForm) -> str:
        """Return what is stopped."""
        lot = lot_code(form.cleaned_data["lot"])
        return _("The find is written down; lot %(lot)s is stopped until somebody releases it.") % {"lot": lot}

    def so_far(self, _form: FindForm, facts: dict[str, Any]) -> dict[str, Any]:
        """Say which machine and which lot it is."""
        unknown = _("No machine %(code)s is in the register.")
        return {"reads": {"equipment": told_thing(Equipment, facts.get("equipment"), unknown), "lot": told(facts.get("lot"))}}

    def after(self, _receipt: Receipt, _form: FindForm) -> str:
        """Back to the checks."""
        return reverse("checks")
