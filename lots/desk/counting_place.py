"""A whole shelf counted blind: shelf, then lot and kilograms, one after another. The book speaks afterwards."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from django.utils.translation import gettext as _
from django.utils.translation import ngettext

from lots.desk.counting import difference_words
from lots.desk.forms.house import PlaceCountForm
from lots.desk.forms.many_weighed import WeighedLine
from lots.desk.recorded import Line, step_line
from lots.desk.saying import listed
from lots.desk.scanned import code_in, lot_code, lot_of, told_thing
from lots.desk.weighed import WeighedView
from lots.desk.words import joined, language, mass
from lots.models import Place
from lots.read.names import lot_name
from lots.read.places import CountedShelf, counted_shelf
from lots.read.recent import recent
from lots.record import counting
from lots.record.acts import Act, Receipt
from lots.record.counting import Counted
from lots.record.lines import Weight
from lots.trade.units import kg_text, number_text

OFF_LEAST_MG = 1


class PlaceCountView(WeighedView):
    """The count of a shelf."""

    form_class = PlaceCountForm
    template_name = "desk/counting_place.html"
    page = "counting-place"
    door = "shelving"

    def write(self, act: Act, form: PlaceCountForm) -> Receipt:
        """Write the count down."""
        facts = form.cleaned_data
        scale = facts.get("scale") or ""
        met = [Counted(lot_code(line.scanned), Weight(line.mass_mg or 0, scale)) for line in facts["counted"] or ()]
        return counting.count_place(act, place=code_in(Place, facts["place"]), counted=met, happened_at=facts["happened_at"])

    def said(self, receipt: Receipt, _form: PlaceCountForm) -> str:
        """Return what was counted, and name what was not met."""
        return shelf_words(counted_shelf(receipt.step or 0))

    def more(self, receipt: Receipt, _form: PlaceCountForm) -> str:
        """Return each lot beside the book."""
        return joined(lot_words(counted_shelf(receipt.step or 0)))

    def so_far(self, _form: PlaceCountForm, facts: dict[str, Any]) -> dict[str, Any]:
        """Say how many lots were weighed, and nothing of what should stand there."""
        unknown = _("No shelf %(code)s is in the register.")
        return {"reads": {"place": told_thing(Place, facts.get("place"), unknown), "counted": lines_words(facts.get("counted") or ())}}

    def context(self) -> dict[str, Any]:
        """Return the shelves that were counted last."""
        return {"recorded": [count_line(step) for step in recent("counting", ("place",))]}


def lines_words(lines: Sequence[WeighedLine]) -> str:
    """Return how many lots were weighed so far, and the last of them."""
    if not lines:
        return ""
    unknown = next((line.scanned.typed for line in lines if lot_of(line.scanned) is None), None)
    if unknown is not None:
        return _("No lot %(code)s is in the book.") % {"code": unknown}
    last = lines[-1]
    lot = lot_of(last.scanned)
    weight = mass(last.mass_mg) if last.mass_mg is not None else _("no weight yet")
    words = {"count": number_text(len(lines), 0), "lot": lot_name(lot).name if lot else last.scanned.typed, "mass": weight}
    return ngettext("%(count)s lot: %(lot)s, %(mass)s.", "%(count)s lots, the last: %(lot)s, %(mass)s.", len(lines)) % words


def shelf_words(told: CountedShelf) -> str:
    """Return a counted shelf in words: how many lots, and which should stand there and were not met."""
    count = ngettext("%(count)s lot counted", "%(count)s lots counted", len(told.lots)) % {"count": number_text(len(told.lots), 0)}
    first = _("Shelf %(place)s: %(count)s, %(mass)s.") % {
        "place": told.place, "count": count, "mass": mass(sum(lot.counted_mg for lot in told.lots)),
    }
    missed = _("Not met, though the book has them here: %(lots)s.") % {"lots": listed([lot.name for lot in told.missed])}
    return joined([first, missed if told.missed else _("None is missing.")])


def lot_words(told: CountedShelf) -> list[str]:
    """Return the lots whose count is not what the book had; one sentence where all are."""
    off = [
        _("%(lot)s: counted %(counted)s, the book had %(book)s;") % {
            "lot": one.lot.name, "counted": kg_text(one.counted_mg, 2, language()), "book": kg_text(one.book_mg, 2, language()),
        } + " " + difference_words(one.counted_mg - one.book_mg)
        for one in told.lots if abs(one.counted_mg - one.book_mg) >= OFF_LEAST_MG
    ]
    return off or ([_("Every lot is as the book has it.")] if told.lots else [])


def count_line(step: Any) -> Line:
    """Return one counted shelf as an entry."""
    told = counted_shelf(step.step)
    return step_line(step, _("Shelf %(place)s.") % {"place": told.place}, joined([shelf_words(told), *lot_words(told)]))
