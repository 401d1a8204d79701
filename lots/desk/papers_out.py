"""Papers that go out: the dossier of a lot, the recall report, sheets of labels. Nothing here writes."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any
from urllib.parse import urlencode

from django.http import Http404, HttpRequest, HttpResponse, HttpResponseBase, StreamingHttpResponse
from django.shortcuts import redirect, render
from django.urls import reverse
from django.utils import translation
from django.utils.translation import gettext as _
from django.views.decorators.http import require_safe

from lots.desk.forms.papers import LANGUAGES, DossierForm, LabelForm, RecallForm
from lots.dossier.eyes import Reader
from lots.dossier.faults import PaperFault
from lots.dossier.label_sheet import LABELS_MAX, lot_sheet, pack_sheet
from lots.dossier.lot_dossier import LotPaper
from lots.dossier.recall_report import RecallReport
from lots.dossier.recall_words import Case
from lots.dossier.tables import file_name
from lots.models import Lot
from lots.read.finding import find
from lots.read.labelling import SeriesFace, lot_faces, series_faces
from lots.read.recalling import recall as recall_of
from lots.recall.ranges import RecallError

XLSX = "application/vnd.openxmlformats-officedocument.spreadsheetml.sheet"
COUNTED = "counted-"


def paper_language(asked: Mapping[str, Any]) -> str:
    """Return the language of the paper: what was asked for, else that of the desk."""
    wanted = str(asked.get("language") or translation.get_language() or "en")[:2]
    return wanted if wanted in dict(LANGUAGES) else "en"


def handed_out(data: bytes, name: str, kind: str = "application/pdf") -> HttpResponse:
    """Return a file: papers open in the browser, everything else is saved."""
    answer = HttpResponse(data, content_type=kind)
    where = "inline" if kind == "application/pdf" else "attachment"
    answer["Content-Disposition"] = f'{where}; filename="{name}"'
    return answer


def not_made(request: HttpRequest, fault: PaperFault | RecallError) -> HttpResponse:
    """Return the page that says why there is no paper."""
    return render(request, "desk/paper_fault.html", {"sentence": str(fault)}, status=409)


# Dossier -------------------------------------------------------------------------------------------------------------


@require_safe
def dossier_asked(request: HttpRequest) -> HttpResponse:
    """Ask whose dossier it is to be, and for whose eyes."""
    form = DossierForm(request.GET or None)
    if form.is_bound and form.is_valid():
        data = form.cleaned_data
        found = data["lot"]
        name = found.lots[0].code if len(found.lots) == 1 else found.lots[0].maker_ref
        query = urlencode({"language": paper_language(data), "reader": data["reader"] or Reader.BUYER.value})
        return redirect(f"{reverse('dossier', args=[name])}?{query}")
    return render(request, "desk/dossier.html", {"form": form})


@require_safe
def dossier(request: HttpRequest, code: str) -> HttpResponse:
    """Return the dossier of a lot as PDF: ``?language=ja``, ``?reader=inspector``."""
    found = find(code)
    if not found.sure:
        raise Http404
    reader = Reader.INSPECTOR if request.GET.get("reader") == Reader.INSPECTOR.value else Reader.BUYER
    try:
        with translation.override(paper_language(request.GET)):
            made = LotPaper(found.lots, reader)
            return handed_out(made.pdf(), made.file_name())
    except PaperFault as fault:
        return not_made(request, fault)


# Recall --------------------------------------------------------------------------------------------------------------


@require_safe
def recall(request: HttpRequest) -> HttpResponse:
    """Ask where a recall begins, and show what it reaches before any paper is made."""
    form = RecallForm(request.GET if asked(request) else None)
    context: dict[str, Any] = {"form": form}
    if form.is_bound and form.is_valid():
        try:
            context |= preview(request, form)
        except RecallError as fault:
            form.add_error(None, str(fault))
    return render(request, "desk/recall.html", context)


def asked(request: HttpRequest) -> bool:
    """Tell whether the page was asked anything."""
    return any(request.GET.get(name) for name in ("lot", "plot", "pair", "packaging", "case", "kind", "reason"))


def preview(request: HttpRequest, form: RecallForm) -> dict[str, Any]:
    """Return what the page shows of a recall, and where its papers are."""
    report = reported(request, form)
    query = request.GET.urlencode()
    ways = {ending: f"{reverse('recall-report', args=[ending])}?{query}" for ending in ("pdf", "xlsx", "csv")}
    sheets = [(table.title, f"{ways['csv']}&sheet={table.key}") for table in report.tables()]
    shelves = [
        (f"{COUNTED}{one['id']}", one, request.GET.get(f"{COUNTED}{one['id']}", "")) for one in report.series if not one["retained"]
    ]
    kept = [(name, value) for name, value in request.GET.items() if not name.startswith(COUNTED)]
    return {"report": report, "ways": ways, "sheets": sheets, "shelves": shelves, "kept": kept}


def reported(request: HttpRequest, form: RecallForm) -> RecallReport:
    """Return the report that a form asks for."""
    data = form.cleaned_data
    case = Case(data["case"], data["kind"] != "real", data["reason"])
    return RecallReport(recall_of(form.start(), typed_counts(request)), case)


def typed_counts(request: HttpRequest) -> dict[int, int]:
    """Return the packs that were counted on the shelf just now, by series."""
    answers = request.GET.dict().items()
    typed = {name.removeprefix(COUNTED): str(value).replace(",", "").strip() for name, value in answers if name.startswith(COUNTED)}
    return {int(series): int(value) for series, value in typed.items() if plain_number(series) and plain_number(value)}


def plain_number(text: str) -> bool:
    """Tell whether a text is a whole number that fits a count."""
    return text.isascii() and text.isdigit() and len(text) <= 9


@require_safe
def recall_report(request: HttpRequest, ending: str) -> HttpResponseBase:
    """Return the report as PDF, XLSX or CSV (``?sheet=consignees``), for the same question as the page's."""
    form = RecallForm(request.GET)
    if not form.is_valid():
        return redirect(f"{reverse('recall')}?{request.GET.urlencode()}")
    try:
        with translation.override(paper_language(form.cleaned_data)):
            return report_file(reported(request, form), ending, request.GET.get("sheet") or "consignees")
    except (PaperFault, RecallError) as fault:
        return not_made(request, fault)


def report_file(report: RecallReport, ending: str, sheet: str) -> HttpResponseBase:
    """Return one form of a report; raises Http404 for a sheet that it does not have."""
    if ending == "pdf":
        return handed_out(report.pdf(), report.file_name("pdf"))
    if ending == "xlsx":
        return handed_out(report.xlsx(), report.file_name("xlsx"), XLSX)
    chunks = report.csv(sheet)
    if chunks is None:
        raise Http404
    answer = StreamingHttpResponse(chunks, content_type="text/csv; charset=utf-8")
    answer["Content-Disposition"] = f'attachment; filename="{report.file_name("csv", sheet)}"'
    return answer


# Labels --------------------------------------------------------------------------------------------------------------


@require_safe
def label_sheet(request: HttpRequest) -> HttpResponse:
    """Ask which labels are wanted; with ``?make=1`` return their sheets as PDF."""
    make = request.GET.get("make") == "1"
    form = LabelForm(request.GET if make else None, initial=request.GET.dict())
    if make and form.is_valid():
        try:
            with translation.override(paper_language(form.cleaned_data)):
                return labels(form.cleaned_data)
        except PaperFault as fault:
            form.add_error(None, fault.sentence)
    return render(request, "desk/label_sheet.html", {"form": form, "most": LABELS_MAX}, status=200)


def labels(data: dict[str, Any]) -> HttpResponse:
    """Return the sheets that a form asks for. Raises PaperFault."""
    lots: list[Lot] = [lot for found in data["lots"] for lot in found.lots]
    if data["kind"] == "lots":
        return handed_out(lot_sheet(lot_faces(lots), data["begin_at"]), "labels-lots.pdf")
    face = the_series(series_faces([lot.pk for lot in lots]), data["first_no"])
    first_no = data["first_no"] or face.first_no
    last_no = data["last_no"] or face.last_no
    return handed_out(pack_sheet(face, first_no, last_no, data["begin_at"]), f"{file_name('labels', face.lot, str(first_no))}.pdf")


def the_series(faces: list[SeriesFace], first_no: int | None) -> SeriesFace:
    """Return the series that is meant: the only one, or the one that the first number lies in. Raises PaperFault."""
    if not faces:
        raise PaperFault(_("No packs carry this lot. Scan a lot of packs, or choose labels for lots."))
    found = [face for face in faces if first_no is None or face.first_no <= first_no <= face.last_no]
    if len(found) == 1:
        return found[0]
    spans = "; ".join(f"{face.product}: {face.first_no}–{face.last_no}" for face in faces)
    raise PaperFault(_("Several series carry this lot. Type the first pack number of the one that is meant: %(spans)s.") % {
        "spans": spans,
    })
