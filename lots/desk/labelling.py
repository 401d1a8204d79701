"""Labels and organic marks: counted when a series is closed, printed again with a reason."""

from __future__ import annotations

from typing import Any

from django.urls import reverse
from django.utils.translation import gettext as _

from lots.desk.forms.packing import packs_of
from lots.desk.forms.packs import LabelCountForm, ReprintForm
from lots.desk.recorded import Line, step_line
from lots.desk.recording import ActView
from lots.desk.scanned import lot_code
from lots.desk.series_words import series_of, series_told
from lots.desk.words import joined, language
from lots.models import LabelCount, LabelReprint, LabelVersion, PackedUnit
from lots.read.finding import find
from lots.read.label_counts import LabelsOfSeries, labels_of
from lots.read.label_words import label_findings
from lots.read.recent import Recent, recent
from lots.read.registers import in_force
from lots.record import labelling
from lots.record.acts import Act, Receipt
from lots.record.labelling import Labels
from lots.trade.units import kg_text, number_text


class LabelsView(ActView):
    """The labels of one series."""

    form_class = LabelCountForm
    template_name = "desk/labelling.html"
    page = "packing-labels"
    door = "packing"

    def options(self) -> dict[str, Any]:
        """Return the labels in use, with the one of the series that a link named."""
        labels = list(in_force(LabelVersion).select_related("product"))
        unit = linked_series(self.request.GET.get("lot", ""))
        own = [row.code for row in labels if unit is not None and row.product.code == unit.product.code]
        return {"labels": labels, "chosen": own[0] if len(own) == 1 else ""}

    def write(self, act: Act, form: LabelCountForm) -> Receipt:
        """Write the counts down."""
        facts = form.cleaned_data
        labels = form.labels_of(facts)
        if labels is None:
            raise ValueError("A form that was taken has all its counts.")
        return labelling.count(
            act, lot=lot_code(facts["lot"]), label=facts["label"], labels=labels, marks=form.marks_of(facts),
            packaging=form.taken, happened_at=facts["happened_at"],
        )

    def said(self, receipt: Receipt, _form: LabelCountForm) -> str:
        """Return the counts as they stand."""
        row = LabelCount.objects.select_related("unit__product", "unit__lot").get(pk=receipt.step)
        return joined([_("%(packs)s:") % {"packs": packs_of(row.unit.product)}, *count_sentences(labels_of([row.unit])[0])])

    def after(self, receipt: Receipt, form: LabelCountForm) -> str:
        """On to the run where the series was packed."""
        unit = series_of(form.cleaned_data["lot"])
        return reverse("packing-run", args=[unit.step_id]) if unit else super().after(receipt, form)

    def so_far(self, form: LabelCountForm, facts: dict[str, Any]) -> dict[str, Any]:
        """Say which series it is, whether the counts close, and what the words of the label promise too much."""
        unit = series_of(facts.get("lot"))
        reads = {"lot": series_told(facts.get("lot"), unit)}
        if unit is None:
            return {"reads": reads}
        labels, marks = form.labels_of(facts), form.marks_of(facts)
        say = joined([close_words(labels, unit) if labels else "", marks_words(marks) if marks else ""])
        return {"reads": reads, "say": say, "rate": joined(words_of_label(facts.get("label") or "", unit))}

    def context(self) -> dict[str, Any]:
        """Return the last counts, and where labels are entered."""
        steps = recent("labelling", ("count",))
        rows = LabelCount.objects.select_related("unit__lot", "unit__product").in_bulk([step.step for step in steps])
        return {
            "recorded": [count_line(step, rows[step.step]) for step in steps],
            "labels": in_force(LabelVersion).exists(),
        }


class ReprintView(ActView):
    """Labels that are printed again."""

    form_class = ReprintForm
    template_name = "desk/labelling_again.html"
    page = "packing-reprint"
    door = "packing"

    def write(self, act: Act, form: ReprintForm) -> Receipt:
        """Write the re-print down."""
        facts = form.cleaned_data
        return labelling.reprint(
            act, lot=lot_code(facts["lot"]), print_count=facts["print_count"], cause=facts["cause"], happened_at=facts["happened_at"],
        )

    def said(self, receipt: Receipt, _form: ReprintForm) -> str:
        """Return what was printed again, and how many by now."""
        row = LabelReprint.objects.select_related("unit__lot", "unit__product").get(pk=receipt.step)
        told = labels_of([row.unit])[0]
        words = {"packs": packs_of(row.unit.product), "count": row.print_count, "whole": told.reprinted_count}
        return _("%(packs)s: %(count)s labels were printed again, %(whole)s by now.") % words

    def so_far(self, _form: ReprintForm, facts: dict[str, Any]) -> dict[str, Any]:
        """Say which series it is."""
        return {"reads": {"lot": series_told(facts.get("lot"), series_of(facts.get("lot")))}}

    def context(self) -> dict[str, Any]:
        """Return the last re-prints."""
        steps = recent("labelling", ("reprint",))
        rows = LabelReprint.objects.select_related("unit__lot", "unit__product").in_bulk([step.step for step in steps])
        return {"recorded": [reprint_line(step, rows[step.step]) for step in steps]}


def linked_series(text: str) -> PackedUnit | None:
    """Return the series that a link names."""
    lots = find(text).lots if text else ()
    return PackedUnit.objects.select_related("product").filter(lot__in=lots).first() if lots else None


def words_of_label(code: str, unit: PackedUnit) -> list[str]:
    """Return what the words of a label say that the packs do not bear out."""
    row = in_force(LabelVersion).select_related("product").filter(code=code).first() if code else None
    return [finding.text(language()) for finding in label_findings(row, unit)] if row else []


def differ_words(count: int) -> str:
    """Return a difference of a count with its sign; nothing where all are accounted for."""
    if not count:
        return _("All are accounted for.")
    return _("Not accounted for: %(count)s.") % {"count": number_text(count, 0, signed=True)}


def close_words(labels: Labels, unit: PackedUnit) -> str:
    """Return how labels close while they are typed."""
    packs = _("The series holds %(packs)s packs.") % {"packs": number_text(unit.pack_count, 0)}
    return joined([four_words(labels), differ_words(labels.unexplained_count), packs])


def four_words(labels: Labels) -> str:
    """Return four counts of labels."""
    return _("Labels printed %(printed)s: on packs %(applied)s, spoiled %(spoiled)s, left %(left)s.") % {
        "printed": number_text(labels.printed_count, 0), "applied": number_text(labels.applied_count, 0),
        "spoiled": number_text(labels.spoiled_count, 0), "left": number_text(labels.left_count, 0),
    }


def marks_words(marks: Labels) -> str:
    """Return four counts of organic marks."""
    said = _("Organic marks taken out %(taken)s: on packs %(applied)s, spoiled %(spoiled)s, left %(left)s.") % {
        "taken": number_text(marks.printed_count, 0), "applied": number_text(marks.applied_count, 0),
        "spoiled": number_text(marks.spoiled_count, 0), "left": number_text(marks.left_count, 0),
    }
    return joined([said, differ_words(marks.unexplained_count)])


def count_sentences(told: LabelsOfSeries) -> list[str]:
    """Return what was counted of a series, labels first, then marks against packed mass, then re-prints."""
    row = told.row
    if row is None:
        return [_("Labels were not counted: nothing is said of them."), *reprint_sentences(told)]
    labels = Labels(row.printed_count, row.applied_count, row.spoiled_count, row.left_count)
    return [close_words(labels, told.unit), *mark_sentences(told), *reprint_sentences(told)]


def mark_sentences(told: LabelsOfSeries) -> list[str]:
    """Return the marks of a series, and the organic mass that they stand for beside what was weighed."""
    row = told.row
    if row is None or row.marks_taken_count is None or told.marked_mg is None:
        return []
    marks = Labels(row.marks_taken_count, row.marks_applied_count or 0, row.marks_spoiled_count or 0, row.marks_left_count or 0)
    mass = _("By marks %(marked)s of organic tea were packed, by the scale %(weighed)s.") % {
        "marked": kg_text(told.marked_mg, 3, language()), "weighed": kg_text(told.unit.lot.mass_mg, 3, language()),
    }
    return [marks_words(marks), mass]


def reprint_sentences(told: LabelsOfSeries) -> list[str]:
    """Return how many labels were printed again, and why."""
    if not told.reprinted_count:
        return []
    words = {"count": number_text(told.reprinted_count, 0), "causes": _("; ").join(told.causes)}
    return [_("Printed again: %(count)s (%(causes)s).") % words]


def count_line(step: Recent, row: LabelCount) -> Line:
    """Return one count as an entry."""
    labels = Labels(row.printed_count, row.applied_count, row.spoiled_count, row.left_count)
    what = _("%(lot)s, %(packs)s.") % {"lot": row.unit.lot, "packs": packs_of(row.unit.product)}
    return step_line(step, what, joined([four_words(labels), differ_words(labels.unexplained_count)]))


def reprint_line(step: Recent, row: LabelReprint) -> Line:
    """Return one re-print as an entry."""
    what = _("%(lot)s, %(packs)s.") % {"lot": row.unit.lot, "packs": packs_of(row.unit.product)}
    return step_line(step, what, _("%(count)s printed again: %(cause)s.") % {"count": row.print_count, "cause": row.cause.rstrip(".")})
