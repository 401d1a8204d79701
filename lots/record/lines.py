"""The lines of a step: leaf that goes in, comes out, is lost for a named reason, or differs from the book."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from decimal import Decimal
from typing import Any

from django.utils.translation import gettext as _

from lots.codes.lots import parse_lot_code
from lots.models import Flow, Lot, MoistureRule, Scale, Step, Stock
from lots.read.rows import linked, row, rows, values
from lots.record.errors import Refused
from lots.record.words import kg, loss_word, material_word, or_words
from lots.record.writing import Writing
from lots.trade.materials import MATERIALS, U_MOISTURE_FRAC
from lots.trade.stages import STAGES

MOISTURE_PLACES = Decimal("0.00001")
OPENED_AND_LEFT = """
JOIN stock ON stock.lot_id = flow.lot_id WHERE flow.lot_id = %s AND flow.step_id = %s AND flow.kind = 'out'
"""
# A lot that was taken back gives its reference to the one that was entered in its place.
BY_MAKERS_REFERENCE = """
WHERE maker_ref = %s
ORDER BY EXISTS (SELECT 1 FROM step b WHERE b.corrects_id = lot.step_id AND b.part = 'reverse'), id LIMIT 1
"""


@dataclass(frozen=True, slots=True)
class Moisture:
    """A moisture as the desk gives it: ``frac`` is kg water per kg wet; ``how`` measured or assumed; ``of`` names a lot
    whose determination it is (one sample, one error) instead of a figure of its own."""

    frac: Decimal | None = None
    how: str = "measured"
    of: str = ""


@dataclass(frozen=True, slots=True)
class Weight:
    """A weighing as the desk gives it: net ``mass_mg`` in ``reading_count`` readings on the scale of code ``scale``."""

    mass_mg: int
    scale: str = ""
    reading_count: int = 1


def find_lot(code: str, field: str = "lot") -> Lot:
    """Return the lot of a public code in any spelling or of the maker's own reference, or refuse with a sentence."""
    found = row(Lot, "WHERE code = %s", [parse_lot_code(code) or code]) or row(Lot, BY_MAKERS_REFERENCE, [code])
    if found is None:
        msg = _("No lot %(code)s is in the book. Scan its label again, or look for it under Lots.")
        raise Refused(msg % {"code": code}, field)
    return found


def find_lots(codes: Iterable[str], field: str) -> list[Lot]:
    """Return the lots of some codes, each once however often and under whichever of its names it was scanned."""
    return list({lot.pk: lot for lot in (find_lot(code, field) for code in codes)}.values())


def opening_flow(lot: Lot) -> Flow:
    """Return the line that opened a lot: its weighing, moisture and sample."""
    flow = row(Flow, "WHERE lot_id = %s AND step_id = %s AND kind = 'out'", [lot.pk, lot.step_id])
    if flow is None:
        raise Refused(_("Lot %(lot)s has no weighing that opened it. Run the check of the whole book.") % {"lot": lot})
    flow.lot = lot
    return flow


def opened_and_left(lot: Lot) -> tuple[Flow, int]:
    """Return the line that opened a lot and what the book has of it in mg, in one question."""
    found = linked((Flow, Stock), OPENED_AND_LEFT, [lot.pk, lot.step_id])
    return (found[0], int(found[1].book_mg)) if found else (opening_flow(lot), 0)


class Lines:
    """Adds lines to one step of a `Writing`."""

    def __init__(self, writing: Writing, step: Step) -> None:
        self.writing = writing
        self.step = step
        self._sample_count = 0
        self._scales: dict[str, Scale] = {}
        self._known: dict[int, Scale | None] = {}

    def scale(self, code: str) -> Scale | None:
        """Return a scale of the register, once looked up."""
        if code and code not in self._scales:
            self._scales[code] = self.writing.in_force(Scale, code, "scales", "scale")
        return self._scales.get(code)

    def scale_of(self, flow: Flow) -> Scale | None:
        """Return the version of a scale that another line was read on, once looked up."""
        if flow.scale_id is None:
            return None
        if flow.scale_id not in self._known:
            self._known[flow.scale_id] = row(Scale, "WHERE id = %s", [flow.scale_id])
        return self._known[flow.scale_id]

    def wet(self, material: str, given: Moisture | None) -> dict[str, Any]:
        """Return the moisture fields of a line; nothing given means not known, never zero."""
        if given is None or (given.frac is None and not given.of):
            return {}
        if given.of:
            return taken_over(opening_flow(find_lot(given.of, "moisture")))
        frac = given.frac.quantize(MOISTURE_PLACES)  # type: ignore[union-attr]
        if not Decimal(0) <= frac < Decimal(1):
            msg = _("%(percent)s %% moisture, wet basis, cannot be. Was it per 100 dry?")
            raise Refused(msg % {"percent": f"{frac * 100:.1f}"}, "moisture")
        rule = moisture_rule(material)
        self._sample_count += 1
        sample = f"{self.writing.seq}.{self._sample_count}"
        if given.how == Flow.How.ASSUMED and rule is not None:
            sample = f"{rule.code}@{rule.version}"
        u_frac = rule.u_moisture_frac if rule else Decimal(str(U_MOISTURE_FRAC[MATERIALS[material].moisture_class]))
        return {"moisture_frac": frac, "u_moisture_frac": u_frac, "moisture_how": given.how, "sample": sample}

    def open(self, material: str, weight: Weight, moisture: Moisture | dict[str, Any] | None, maker_ref: str = "") -> Lot:
        """Open a lot and add the line that opens it. ``moisture`` may be the fields of another line (same sample)."""
        if material not in STAGES[self.step.stage].produces:
            what = material or _("A material without a name")
            raise Refused(_("%(material)s does not come out here. Look at the list of what was weighed.") % {"material": what})
        must_weigh(weight.mass_mg, material_word(material))
        wet = moisture if isinstance(moisture, dict) else self.wet(material, moisture)
        lot = self.writing.lot(self.step, material, weight.mass_mg, maker_ref)
        self.writing.flow(
            step=self.step, kind=Flow.Kind.OUT, role=material, lot=lot, mass_mg=weight.mass_mg,
            reading_count=weight.reading_count, scale=self.scale(weight.scale), **wet,
        )
        return lot

    def draw(self, lot: Lot, weight: Weight | None = None, role: str = "", *, empties: bool = False) -> Flow:
        """Take mass from a lot: weighed here, or all that the book has when ``weight`` is None (its opening weighing stands).

        More than the book has is questioned once, then taken; so is a material that the stage does not take. ``empties``
        books what is then missing or left over.
        """
        first, book_mg = opened_and_left(lot)
        whole = weight is None
        if weight is None and book_mg <= 0:
            msg = _("Nothing of lot %(lot)s is left in the book. Look at its label again, or count its stock first.")
            raise Refused(msg % {"lot": lot}, "lot")
        mass_mg = book_mg if weight is None else weight.mass_mg
        must_weigh(mass_mg, _("lot %(lot)s") % {"lot": lot})
        self.ask_about_material(lot)
        self.ask_about_holder(lot)
        if mass_mg > book_mg:
            msg = _("Lot %(lot)s has %(book)s kg in the book and %(taken)s kg are taken. Look at the scale and the label again.")
            self.writing.question(msg % {"lot": lot, "book": kg(book_mg), "taken": kg(mass_mg)})
        scale = self.scale_of(first) if whole else self.scale(weight.scale)  # type: ignore[union-attr]
        count = first.reading_count if whole else weight.reading_count  # type: ignore[union-attr]
        flow = self.writing.flow(
            step=self.step, kind=Flow.Kind.IN, role=role or lot.material, lot=lot, mass_mg=mass_mg, reading_count=count,
            scale=scale, empties=empties or whole, **taken_over(first),
        )
        if empties and mass_mg != book_mg:
            self.differ(lot, mass_mg - book_mg, "on emptying")
        return flow

    def ask_about_material(self, lot: Lot) -> None:
        """Ask when a lot goes where such material does not go: as a rule another label was scanned."""
        stage = STAGES[self.step.stage]
        if stage.consumes and lot.material not in stage.consumes:
            wanted = or_words([material_word(key) for key in stage.consumes])
            msg = _("Lot %(lot)s is %(material)s; here %(wanted)s goes in. Scan the label again.")
            self.writing.question(msg % {"lot": lot, "material": material_word(lot.material), "wanted": wanted}, "lot")

    def ask_about_holder(self, lot: Lot) -> None:
        """Ask when a lot that another mill holds is drawn here: it comes home first."""
        if lot.holder_id is not None and self.step.stage != "hiring":
            msg = _("Lot %(lot)s is not in the house: %(party)s holds it. Scan another label, or take it back first.")
            self.writing.question(msg % {"lot": lot, "party": lot.holder.code}, "lot")

    def lose(self, role: str, weight: Weight, moisture: dict[str, Any]) -> Flow:
        """Book a loss under one of the names that its stage knows; it has the moisture of what was lost."""
        known = STAGES[self.step.stage].losses
        if role not in known:
            words = {"loss": role or _("A loss without a name"), "known": or_words([loss_word(key) for key in known])}
            raise Refused(_("%(loss)s is not a loss that is known here. Name it %(known)s.") % words, "losses")
        must_weigh(weight.mass_mg, loss_word(role))
        return self.writing.flow(
            step=self.step, kind=Flow.Kind.LOST, role=role, lot=None, mass_mg=weight.mass_mg,
            reading_count=weight.reading_count, scale=self.scale(weight.scale), **moisture,
        )

    def differ(self, lot: Lot, mass_mg: int, role: str) -> Flow:
        """Book a signed difference of a lot to its book figure (positive: more is there)."""
        return self.writing.flow(
            step=self.step, kind=Flow.Kind.DIFFERENCE, role=role, lot=lot, mass_mg=mass_mg, reading_count=0,
            **taken_over(opening_flow(lot)),
        )

    def book_mg(self, lot: Lot) -> int:
        """Return what the book has of a lot before this act's own lines."""
        return int(values("SELECT book_mg FROM stock WHERE lot_id = %s", [lot.pk])[0][0])


def moisture_rule(material: str) -> MoistureRule | None:
    """Return the maker's rule for a material, or for its moisture class."""
    found = rows(MoistureRule, "WHERE code IN (%s, %s) ORDER BY version", [material, MATERIALS[material].moisture_class])
    newest = {rule.code: rule for rule in found}
    standing = [rule for rule in newest.values() if not rule.retired]
    return max(standing, key=lambda rule: rule.code == material, default=None)


def taken_over(flow: Flow) -> dict[str, Any]:
    """Return the moisture fields of another line, same sample."""
    if flow.moisture_frac is None:
        return {}
    return {
        "moisture_frac": flow.moisture_frac, "u_moisture_frac": flow.u_moisture_frac,
        "moisture_how": Flow.How.TAKEN_OVER, "sample": flow.sample,
    }


def common_moisture(flows: list[Flow]) -> dict[str, Any]:
    """Return the moisture that all lines share when they stand on one sample, else nothing (measure it)."""
    samples = {f.sample for f in flows}
    return taken_over(flows[0]) if len(samples) == 1 and flows and flows[0].sample else {}


def must_weigh(mass_mg: int, what: str) -> None:
    """Refuse a mass that no scale shows."""
    if mass_mg <= 0:
        msg = _("The mass of %(what)s must be more than nothing: %(mass)s kg was typed.")
        raise Refused(msg % {"what": what, "mass": kg(mass_mg)})
