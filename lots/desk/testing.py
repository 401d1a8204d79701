"""Results of laboratories: typed as the report has them, compared at once, the report itself kept beside the book."""

from __future__ import annotations

import hashlib
from typing import Any

from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import render
from django.utils import timezone
from django.utils.translation import gettext as _
from django.views.decorators.http import require_safe

from lots.desk.forms.release import ResultForm
from lots.desk.recorded import Line, step_line
from lots.desk.recording import ActView
from lots.desk.sampling import laboratories
from lots.desk.scanned import lot_code
from lots.desk.ways import way
from lots.desk.words import joined, language
from lots.dossier.lab_words import answer_word, compared_words, found_words
from lots.models import LabResult
from lots.quality.limits import Answer
from lots.read.limits import Compared, compared, limits_on, parameters_known
from lots.read.names import lot_name
from lots.read.recent import Recent, recent
from lots.record import report_files, testing
from lots.record.acts import Act, Receipt
from lots.record.errors import Refused

CONTENT_TYPES = {"pdf": "application/pdf", "png": "image/png", "jpg": "image/jpeg"}


class ResultView(ActView):
    """Enter one result."""

    form_class = ResultForm
    template_name = "desk/testing.html"
    page = "release-result"
    door = "release"
    has_live = False
    links = ("sample_no", "parameter")

    def options(self) -> dict[str, Any]:
        """Return the laboratories, and the file that came."""
        return {"laboratories": laboratories(), "files": self.request.FILES or None}

    def form(self, data: Any = None) -> Any:
        """Return the form. A report is kept as soon as it comes, so that a question does not ask for it again."""
        files, fault = self.request.FILES.getlist("report"), ""
        if data is not None and len(files) == 1:
            try:
                data = data.copy()
                data["report_kept"] = report_files.keep(files[0].read()).sha256
            except Refused as answer:
                fault = answer.sentence
        made = super().form(data)
        if len(files) > 1:
            fault = _("Two files came. One result has one report: choose one of them.")
        if fault:
            made.add_error("report", fault)
        return made

    def write(self, act: Act, form: ResultForm) -> Receipt:
        """Write the result down."""
        facts = form.cleaned_data
        return testing.result(
            act, lot=lot_code(facts["lot"]), sample_no=facts["sample_no"], laboratory=facts["laboratory"], method=facts["method"],
            parameter=facts["parameter"], found=facts["found"], value=facts["value"], unit=facts["unit"], basis=facts["basis"],
            loq=facts["loq"], u_expanded=facts["u_expanded"], accreditation=facts["accreditation"], report_no=facts["report_no"],
            reported_on=facts["reported_on"], report=report_files.kept(facts["report_kept"]), happened_at=facts["happened_at"],
        )

    def said(self, receipt: Receipt, _form: ResultForm) -> str:
        """Return what was found, and what it means for every market."""
        row = LabResult.objects.select_related("lot", "step").get(pk=receipt.step)
        first = _("Lot %(lot)s, %(parameter)s: %(found)s.") % {
            "lot": lot_name(row.lot).name, "parameter": row.parameter, "found": found_words(row),
        }
        return joined([first, *meaning(row)])

    def after(self, receipt: Receipt, _form: ResultForm) -> str:
        """On to the lot with all its results."""
        return way("release-lot", LabResult.objects.select_related("lot").get(pk=receipt.step).lot.code)

    def context(self) -> dict[str, Any]:
        """Return the parameters of the tables, and the last results."""
        steps = recent("testing", ("result",))
        rows = LabResult.objects.select_related("lot").in_bulk([step.step for step in steps])
        return {
            "parameters": parameters_known(), "recorded": [result_line(step, rows[step.step]) for step in steps],
            "laboratories": bool(laboratories()),
        }


def comparisons(row: LabResult) -> tuple[Compared, ...]:
    """Return a result beside the limits of the mill's day on which it came in."""
    day = timezone.localtime(row.step.happened_at).date()
    return compared(row, limits_on(day), day)


def meaning(row: LabResult) -> list[str]:
    """Return what a result means, limit by limit."""
    told = comparisons(row)
    if not told:
        return [_("No limit in the tables speaks of it, so it was compared with nothing.")]
    said = [f"{answer_word(one.found.answer)}{_(': ')}{compared_words(one, language())}" for one in told]
    said = [text[:1].upper() + text[1:] for text in said]
    if any(one.stops for one in told):
        said.append(_("The lot is stopped, with everything that was made of it, until a decision names this result."))
    elif any(one.found.answer is Answer.NOT_COMPARABLE for one in told):
        said.append(_("What cannot be compared is no ground for a release."))
    return said


def result_line(step: Recent, row: LabResult) -> Line:
    """Return one result as an entry."""
    what = _("%(lot)s, %(parameter)s.") % {"lot": lot_name(row.lot).name, "parameter": row.parameter}
    return step_line(step, what, f"{found_words(row)}.")


@require_safe
def report(request: HttpRequest, step: int) -> HttpResponse:
    """Hand out the report of a result, if it is still the file whose hash is in the book."""
    row = LabResult.objects.select_related("lot").filter(pk=step).exclude(file_name="").first()
    if row is None:
        raise Http404
    path = report_files.folder() / row.file_name
    content = path.read_bytes() if path.is_file() else b""
    if hashlib.sha256(content).hexdigest() != row.file_sha256:
        return render(request, "desk/report_fault.html", {"row": row, "there": bool(content)}, status=404)
    ending = row.file_name.rsplit(".", 1)[-1]
    answer = HttpResponse(content, content_type=CONTENT_TYPES[ending])
    answer["Content-Disposition"] = f'attachment; filename="report-{step}.{ending}"'
    return answer
