"""Goods in: bought leaf and powder are taken in with their papers, or sent away."""

from __future__ import annotations

import datetime as dt
from dataclasses import dataclass

from django.utils import timezone
from django.utils.translation import gettext as _

from lots.models import Certificate, GoodsReceipt, GoodsRefused, Hold, PackagingItem, PackagingLot, Party
from lots.read.receiving import standing_certificate
from lots.record.acts import act
from lots.record.casing import new_code
from lots.record.errors import Refused
from lots.record.lines import Lines, Moisture, Weight, must_weigh
from lots.record.words import kg, material_word
from lots.record.writing import Writing

#: A paper may differ from our own scale by so much before somebody is asked (common practice, no source).
STATED_APART_FRAC = 0.01
#: The sign with which the house's own codes of packaging begin; no material, order or case has it.
PACKAGING_LETTER = "G"
#: A refused or held delivery says why in so many signs at most.
REASON_MAX = 400


@dataclass(frozen=True, slots=True)
class Paper:
    """What came with the goods: the paper's kind and number, what it states in mg, and how label and seal looked."""

    number: str
    kind: str = ""
    stated_mg: int | None = None
    label_check: str = GoodsReceipt.LabelCheck.AGREES
    label_note: str = ""
    seal: str = GoodsReceipt.Seal.NONE


@act("receiving.accept")
def accept(
    w: Writing,
    *,
    supplier: str,
    material: str,
    weighed: Weight,
    paper: Paper,
    supplier_lot: str = "",
    moisture: Moisture | None = None,
    state: str = GoodsReceipt.State.CONVENTIONAL,
    origin: str = "",
    carrier: str = "",
    hold_why: str = "",
    owner: str = "",
    happened_at: dt.datetime | None = None,
    maker_ref: str = "",
) -> None:
    """Take goods in: opens a lot whose origin the book does not know. A label that differs or a broken seal is asked about;
    ``state`` organic needs a certificate of that party that holds on that day for that material. ``hold_why`` stops it at once;
    ``owner`` is whose goods they stay, where they come to be milled for hire."""
    party = w.in_force(Party, supplier, "parties", "supplier")
    must_be_named(paper)
    step = w.step("receiving", "accept", happened_at)
    day = timezone.localtime(step.happened_at).date()
    certificate = certificate_for(party.code, material, state, day)
    ask_about_paper(w, paper, weighed)
    lot = Lines(w, step).open(material, weighed, moisture, maker_ref)
    lot.owner = w.in_force(Party, owner, "parties", "owner") if owner else None
    w.add(GoodsReceipt(
        step=step, supplier=party, supplier_lot=supplier_lot.strip() or lot.code, lot_assigned=not supplier_lot.strip(),
        paper_kind=paper.kind.strip(), paper_no=paper.number.strip(), stated_mg=paper.stated_mg, label_check=paper.label_check,
        label_note=paper.label_note.strip(), seal=paper.seal, state=state, certificate=certificate, origin=origin.strip(),
        carrier=w.in_force(Party, carrier, "parties", "carrier") if carrier else None,
    ))
    if hold_why.strip():
        w.add(Hold(lot=lot, kind=Hold.Kind.HOLD, happened_at=w.happened_at, reason=hold_why.strip()[:REASON_MAX]))


def must_be_named(paper: Paper) -> None:
    """Refuse goods without a paper, and a difference without words."""
    if not paper.number.strip():
        raise Refused(_("Type the number of the paper that came with the goods."), "paper_no")
    if paper.label_check == GoodsReceipt.LabelCheck.DIFFERS and not paper.label_note.strip():
        raise Refused(_("Say in what label and paper differ."), "label_note")


def certificate_for(party: str, material: str, state: str, day: dt.date) -> Certificate | None:
    """Return the certificate that lets goods in as organic or in conversion; without one they come in as conventional only."""
    if state == GoodsReceipt.State.CONVENTIONAL:
        return None
    found = standing_certificate(party, state, material, day)
    if found is None:
        msg = _(
            "No certificate of %(party)s says %(state)s of %(material)s on %(day)s. Enter the certificate first, or take the goods in as "
            "conventional."
        )
        said = _("organic") if state == GoodsReceipt.State.ORGANIC else _("in conversion")
        words = {"party": party, "state": said, "material": material_word(material), "day": day}
        raise Refused(msg % words, "state")
    return found


def ask_about_paper(w: Writing, paper: Paper, weighed: Weight) -> None:
    """Ask once about what the paper does not explain."""
    if paper.stated_mg is not None and abs(weighed.mass_mg - paper.stated_mg) > STATED_APART_FRAC * paper.stated_mg:
        msg = _("The paper says %(stated)s kg and the scale %(weighed)s kg. Weigh again, or say why.")
        w.question(msg % {"stated": kg(paper.stated_mg), "weighed": kg(weighed.mass_mg)}, "weighed_mg")
    ask_about_label(w, paper)
    if paper.seal == GoodsReceipt.Seal.BROKEN:
        w.question(_("The seal is broken. Say why the goods are taken in all the same, or hold them."), "seal")


def ask_about_label(w: Writing, paper: Paper) -> None:
    """Ask once about a label that says other than the paper."""
    if paper.label_check == GoodsReceipt.LabelCheck.DIFFERS:
        w.question(_("Label and paper differ: %(note)s. Is it the right delivery?") % {"note": paper.label_note.strip()}, "label_check")


@act("receiving.refuse")
def refuse(
    w: Writing,
    *,
    supplier: str,
    material: str,
    paper_no: str,
    why: str,
    supplier_lot: str = "",
    stated_mg: int | None = None,
    happened_at: dt.datetime | None = None,
) -> None:
    """Send goods away: nothing comes into the house, and why is written down."""
    if not why.strip():
        raise Refused(_("Say why the goods are sent away."), "why")
    if not paper_no.strip():
        raise Refused(_("Type the number of the paper that came with the goods."), "paper_no")
    if stated_mg is not None:
        must_weigh(stated_mg, material_word(material))
    step = w.step("receiving", "refuse", happened_at)
    w.add(GoodsRefused(
        step=step, supplier=w.in_force(Party, supplier, "parties", "supplier"), supplier_lot=supplier_lot.strip(), material=material,
        paper_no=paper_no.strip(), stated_mg=stated_mg, why=why.strip(),
    ))


@act("receiving.packaging")
def packaging(
    w: Writing,
    *,
    item: str,
    supplier: str,
    counted_count: int,
    paper: Paper,
    supplier_lot: str = "",
    stated_count: int | None = None,
    happened_at: dt.datetime | None = None,
) -> None:
    """Take packaging in: one lot of tins, bags, labels or the like. Without a code of the supplier it gets one of the house."""
    kind = w.in_force(PackagingItem, item, "packaging", "item")
    party = w.in_force(Party, supplier, "parties", "supplier")
    must_be_named(paper)
    if counted_count <= 0:
        raise Refused(_("How many came? Count them, or take the figure of unopened parcels."), "counted_count")
    step = w.step("receiving", "packaging", happened_at)
    code = supplier_lot.strip() or new_code(w, PACKAGING_LETTER, step)
    if PackagingLot.objects.filter(code__iexact=code).exclude(step__corrected_by__part="reverse").exists():
        w.question(_("Packaging %(code)s came in before. Is this more of the same lot?") % {"code": code}, "supplier_lot")
    if stated_count is not None and stated_count != counted_count:
        msg = _("The paper says %(stated)d and %(counted)d were counted. Count again, or say why.")
        w.question(msg % {"stated": stated_count, "counted": counted_count}, "counted_count")
    ask_about_label(w, paper)
    w.add(PackagingLot(
        step=step, item=kind, supplier=party, code=code, lot_assigned=not supplier_lot.strip(), counted_count=counted_count,
        stated_count=stated_count, paper_no=paper.number.strip(), label_check=paper.label_check, label_note=paper.label_note.strip(),
    ))
