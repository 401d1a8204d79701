"""Results of a laboratory. One that is over a limit stops its lot in the same act."""

from __future__ import annotations

import datetime as dt
from decimal import Decimal

from django.utils import timezone
from django.utils.translation import gettext as _

from lots.models import Hold, LabResult, Lot, Party, SampleTaken
from lots.quality.limits import BASES, UNITS, Found, folded
from lots.read.limits import Compared, compared, limits_on
from lots.read.results import sample_named, standing_steps
from lots.record.acts import act
from lots.record.errors import Refused
from lots.record.lines import find_lot
from lots.record.report_files import ReportFile
from lots.record.writing import Writing

REASON_SIGNS_MAX = 400
SIGNS_MOST = 20


@act("testing.result")
def result(
    w: Writing,
    *,
    laboratory: str,
    method: str,
    parameter: str,
    found: str,
    unit: str,
    basis: str,
    reported_on: dt.date,
    lot: str = "",
    sample_no: str = "",
    value: Decimal | None = None,
    loq: Decimal | None = None,
    u_expanded: Decimal | None = None,
    accreditation: str = "",
    report_no: str = "",
    report: ReportFile | None = None,
    happened_at: dt.datetime | None = None,
) -> None:
    """Record one result of a sample, or of a lot. What is over a limit in force stops the lot, with what and by how much."""
    tested, sample = what_was_tested(lot, sample_no)
    must_be_understood(found, unit, basis, value, loq, u_expanded)
    if not parameter.strip() or not method.strip():
        raise Refused(_("Say what was tested and by which method, as the report has it."), "method" if parameter.strip() else "parameter")
    step = w.step("testing", "result", happened_at)
    ask_about_days(w, reported_on, sample)
    w.touch(tested)
    row = w.add(LabResult(
        step=step, lot=tested, sample=sample.step if sample else None, laboratory=w.in_force(Party, laboratory, "parties", "laboratory"),
        accreditation=accreditation.strip(), report_no=report_no.strip(), method=method.strip(), parameter=" ".join(parameter.split()),
        found=found, value=plain(value) if found == Found.VALUE else "", unit=unit, basis=basis, loq=plain(loq),
        u_expanded=plain(u_expanded), reported_on=reported_on, file_sha256=report.sha256 if report else "",
        file_name=report.name if report else "",
    ))
    ask_about_twice(w, row)
    day = timezone.localtime(w.happened_at).date()
    over = [one for one in compared(row, limits_on(day), day) if one.stops]
    if over:
        reason = over_words(row, over)
        w.add(Hold(lot=tested, kind=Hold.Kind.HOLD, happened_at=w.happened_at, reason=reason[:REASON_SIGNS_MAX]))


def what_was_tested(lot: str, sample_no: str) -> tuple[Lot, SampleTaken | None]:
    """Return the lot that a result is of, and the sample where one is named."""
    if not sample_no.strip():
        if not lot.strip():
            raise Refused(_("Name the sample, or the lot that was tested."), "sample_no")
        return find_lot(lot), None
    sample = sample_named(sample_no)
    if sample is None:
        msg = _("No sample %(number)s is in the book. Look at the report, or name the lot.")
        raise Refused(msg % {"number": sample_no.strip()}, "sample_no")
    if lot.strip() and find_lot(lot) != sample.lot:
        msg = _("Sample %(number)s was taken of lot %(lot)s, not of the lot that was scanned.")
        raise Refused(msg % {"number": sample.sample_no, "lot": sample.lot}, "lot")
    return sample.lot, sample


def must_be_understood(
    found: str, unit: str, basis: str, value: Decimal | None, loq: Decimal | None, u_expanded: Decimal | None
) -> None:
    """Refuse a result that has no meaning: no value, no unit, no basis, figures below nothing."""
    if found not in set(Found):
        raise Refused(_("Say what the laboratory found: a value, or below its limit of quantification."), "found")
    if unit not in UNITS:
        raise Refused(_("Choose the unit as the report has it."), "unit")
    if basis not in BASES:
        raise Refused(_("Choose the basis as the report has it: as sold, dry, or on an infusion."), "basis")
    if found == Found.VALUE and value is None:
        raise Refused(_("Type the value that was found."), "value")
    if found != Found.VALUE and value is not None:
        raise Refused(_("A value was typed, and the answer above says that none was reported. Which of the two is right?"), "found")
    for name, figure in (("value", value), ("loq", loq), ("u_expanded", u_expanded)):
        if figure is not None and (figure < 0 or len(plain(figure)) > SIGNS_MOST):
            raise Refused(_("Look at this figure again: it cannot be below nothing, nor longer than 20 signs."), name)


def ask_about_days(w: Writing, reported_on: dt.date, sample: SampleTaken | None) -> None:
    """Ask about a report from before its sample, or from a day to come."""
    today = timezone.localtime(w.now).date()
    if reported_on > today:
        raise Refused(_("The report is dated on a day that has not come yet. Look at its date."), "reported_on")
    if sample is not None and reported_on < timezone.localtime(sample.step.happened_at).date():
        w.question(_("The report is older than the sample. Is it another sample, or another year?"), "reported_on")


def ask_about_twice(w: Writing, row: LabResult) -> None:
    """Ask about a result that stands already."""
    same = LabResult.objects.filter(
        standing_steps("testing"), lot=row.lot, found=row.found, value=row.value, unit=row.unit, reported_on=row.reported_on,
    )
    if any(folded(other.parameter) == folded(row.parameter) for other in same):
        w.question(_("The same result of this lot is in the book already. Is it another report?"), "parameter")


def plain(figure: Decimal | None) -> str:
    """Return a figure as the book keeps it, with the places that were reported."""
    return "" if figure is None else format(figure, "f")


def over_words(row: LabResult, over: list[Compared]) -> str:
    """Return which limits a result is over, as the reason of the hold."""
    says = [
        _("%(market)s %(bound)s %(limit)s %(unit)s (%(clause)s)") % {
            "market": one.limit.market, "bound": bound_word(one.limit.bound), "limit": one.limit.value, "unit": one.limit.unit,
            "clause": one.limit.clause,
        }
        for one in over
    ]
    found = f"{row.value or '<' + row.loq} {row.unit}"
    words = {"parameter": row.parameter, "found": found, "limits": _("; ").join(says)}
    return _("Laboratory: %(parameter)s %(found)s, outside %(limits)s.") % words


def bound_word(bound: str) -> str:
    """Return on which side a result has to lie."""
    return _("at least") if bound == "at least" else _("at most")
