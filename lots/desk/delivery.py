"""The delivery slip of a consignment or parcel, as PDF."""

from __future__ import annotations

from django.http import Http404, HttpRequest, HttpResponse
from django.utils import translation
from django.views.decorators.http import require_safe

from lots.desk.papers_out import handed_out, not_made, paper_language
from lots.dossier.delivery_slip import DeliverySlip
from lots.dossier.faults import PaperFault
from lots.read.delivery import delivery


@require_safe
def slip(request: HttpRequest, step: int) -> HttpResponse:
    """Return the slip: ``?language=ja``."""
    found = delivery(step)
    if found is None:
        raise Http404
    try:
        with translation.override(paper_language(request.GET)):
            made = DeliverySlip(found)
            return handed_out(made.pdf(), made.file_name())
    except PaperFault as fault:
        return not_made(request, fault)
