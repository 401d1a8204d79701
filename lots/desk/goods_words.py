"""Goods from outside in words, as several pages say them."""

from __future__ import annotations

from collections.abc import Mapping

from django.urls import reverse
from django.utils.translation import gettext as _

from lots.desk.recorded import Line, step_line
from lots.desk.words import joined, mass, material_word, printed
from lots.models import PackagingLot
from lots.read.names import opened
from lots.read.packaging import key_of, packaging_lots
from lots.read.receiving import Delivery
from lots.read.recent import Recent
from lots.trade.units import number_text


def count_words(count: int) -> str:
    """Return a count as pages print it."""
    return number_text(count, 0)


def state_said(state: str) -> str:
    """Return as what goods were taken in."""
    return {"organic": _("organic"), "in conversion": _("in conversion")}.get(state, _("conventional"))


def label_said(delivery: Delivery) -> str:
    """Return what was found when label and paper were held together."""
    if delivery.label_check == "differs":
        return _("Label and paper differ: %(note)s.") % {"note": delivery.label_note.rstrip(".")}
    return {"agrees": _("Label and paper agree."), "no label": _("It bore no label.")}.get(delivery.label_check, "")


def seal_said(seal: str) -> str:
    """Return how the seal was; nothing where there was none."""
    return {"whole": _("The seal was whole."), "broken": _("The seal was broken.")}.get(seal, "")


def outcome(delivery: Delivery) -> str:
    """Return what became of a delivery."""
    if delivery.lot is None:
        return _("sent away")
    return _("held") if delivery.is_held else _("taken in")


def delivery_line(delivery: Delivery) -> Line:
    """Return one delivery as an entry."""
    material = material_word(delivery.material)
    if delivery.lot is None:
        what = _("%(material)s of %(party)s sent away.") % {"material": material, "party": delivery.supplier}
        why = f"{delivery.why[:1].upper()}{delivery.why[1:].rstrip('.')}."
        return Line(delivery.at, f"{what[:1].upper()}{what[1:]}", joined((why, paper_said(delivery))))
    what = _("%(lot)s, %(material)s %(mass)s.") % {"lot": delivery.lot.name, "material": material, "mass": mass(delivery.mass_mg or 0)}
    words = {"party": delivery.supplier, "lot": printed(delivery.supplier_lot), "state": state_said(delivery.state)}
    whose = _("From %(party)s, their lot %(lot)s, %(state)s.") % words
    held = _("Held.") if delivery.is_held else ""
    said = joined((whose, paper_said(delivery), label_said(delivery), seal_said(delivery.seal), held))
    return Line(delivery.at, what, said, reverse("corrections-adjust", args=[delivery.step]), _("Correct"))


def paper_said(delivery: Delivery) -> str:
    """Return the paper, and what it says."""
    if delivery.stated_mg is None:
        return _("Paper %(number)s.") % {"number": delivery.paper}
    return _("Paper %(number)s says %(mass)s.") % {"number": delivery.paper, "mass": mass(delivery.stated_mg)}


def packaging_lines(steps: list[Recent]) -> list[Line]:
    """Return deliveries of packaging as entries, each with what should be left of its lot."""
    rows = PackagingLot.objects.select_related("item", "supplier").in_bulk([step.step for step in steps])
    left = {key_of(one.code): one.left_count for one in packaging_lots()}
    names = opened(row.supplier.name for row in rows.values())
    return [packaging_line(step, rows[step.step], left, names) for step in steps]


def packaging_line(step: Recent, row: PackagingLot, left: Mapping[str, int], names: Mapping[str, str]) -> Line:
    """Return one delivery of packaging."""
    words = {"party": names.get(row.supplier.name, row.supplier.code), "count": count_words(row.counted_count)}
    came = _("%(count)s came from %(party)s.") % words
    rest = _("Of the lot %(left)s should be left.") % {"left": count_words(left[key_of(row.code)])} if key_of(row.code) in left else ""
    return step_line(step, _("%(item)s, lot %(code)s.") % {"item": row.item.name, "code": printed(row.code)}, joined((came, rest)))
