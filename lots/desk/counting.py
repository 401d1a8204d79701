"""Stock count: blind. The book's figure comes with the answer, never before."""

from __future__ import annotations

from typing import Any

from django.utils.translation import gettext as _

from lots.desk.forms.shelf import CountForm
from lots.desk.recorded import Line, step_line
from lots.desk.scanned import lot_code, told
from lots.desk.sieving import scanned_lots, tubs_words
from lots.desk.weighed import WeighedView
from lots.desk.words import joined, language, mass
from lots.models import StockCount
from lots.read.recent import Recent, recent
from lots.record import counting
from lots.record.acts import Act, Receipt
from lots.trade.units import g_text, kg_text


class CountView(WeighedView):
    """A count of one lot."""

    form_class = CountForm
    template_name = "desk/counting.html"
    page = "counting"
    door = "today"

    def write(self, act: Act, form: CountForm) -> Receipt:
        """Write the count down."""
        facts = form.cleaned_data
        return counting.count(
            act, lot=lot_code(facts["lot"]), counted=form.weight("counted_mg"),
            with_lots=[lot_code(line.scanned) for line in facts["with_lots"] or ()], happened_at=facts["happened_at"],
        )

    def said(self, receipt: Receipt, _form: CountForm) -> str:
        """Return the count beside the book."""
        return count_words(StockCount.objects.select_related("lot").get(pk=receipt.step))

    def so_far(self, _form: CountForm, facts: dict[str, Any]) -> dict[str, Any]:
        """Say which lot it is, and nothing of its stock."""
        lots, unknown = scanned_lots(facts.get("with_lots") or ())
        return {"reads": {"lot": told(facts.get("lot"), blind=True), "with_lots": tubs_words(lots, unknown)}}

    def context(self) -> dict[str, Any]:
        """Return the last counts."""
        steps = recent("counting", ("shelf",))
        counts = StockCount.objects.select_related("lot").in_bulk([step.step for step in steps])
        return {"recorded": [count_line(step, counts[step.step]) for step in steps]}


def count_words(count: StockCount) -> str:
    """Return a count with what the book had, and the difference in words."""
    both = _("%(lot)s: counted %(counted)s, the book had %(book)s;") % {
        "lot": count.lot, "counted": kg_text(count.counted_mg, 2, language()), "book": kg_text(count.book_mg, 2, language()),
    }
    return joined([both, difference_words(count.counted_mg - count.book_mg)])


def difference_words(mass_mg: int) -> str:
    """Return a difference without a sign: "0.31 kg less than the book."."""
    if not mass_mg:
        return _("both are the same.")
    size = g_text(abs(mass_mg), 0, language()) if abs(mass_mg) < 100_000 else mass(abs(mass_mg))
    return _("%(size)s more than the book.") % {"size": size} if mass_mg > 0 else _("%(size)s less than the book.") % {"size": size}


def count_line(step: Recent, count: StockCount) -> Line:
    """Return one count as an entry."""
    what = _("%(lot)s, %(counted)s.") % {"lot": count.lot, "counted": kg_text(count.counted_mg, 2, language())}
    return step_line(step, what, difference_words(count.counted_mg - count.book_mg).capitalize())
