"""What the office looks after: late entries, how long records are kept, who may enter what."""

from __future__ import annotations

from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.utils import timezone
from django.utils.translation import gettext as _
from django.utils.translation import ngettext
from django.views.decorators.http import require_safe
from django_tables2 import RequestConfig

from lots.desk.period import asked_span
from lots.desk.saying import capital, count_word, paragraph
from lots.desk.tables.office import GrantTable, KeptTable, LateTable, UnauthorisedTable
from lots.desk.ways import way
from lots.read.authorising import expiring, grants, unauthorised
from lots.read.late import acts_of, late_entries
from lots.read.retention import kinds_kept, rules
from lots.trade.units import percent_text

PER_PAGE = 50


@require_safe
def late(request: HttpRequest) -> HttpResponse:
    """Show what was written on a later day than it happened."""
    form, span = asked_span(request)
    found = late_entries(span) if span else []
    whole = len(acts_of(span)) if span else 0
    table = LateTable(found)
    table.caption = _("Late entries")
    RequestConfig(request, paginate={"per_page": PER_PAGE}).configure(table)
    told = ngettext("%(count)s entry was written on a later day than it happened.",
                    "%(count)s entries were written on a later day than they happened.", len(found)) % {"count": count_word(len(found))}
    share = _("That is %(share)s of %(whole)d.") % {"share": percent_text(len(found) / whole), "whole": whole} if whole else ""
    return render(request, "desk/office_late.html", {"form": form, "table": table, "lead": paragraph([capital(told), share])})


@require_safe
def keeping(request: HttpRequest) -> HttpResponse:
    """Show how long the records of each kind are kept."""
    table = KeptTable(kinds_kept())
    table.caption = _("How long records are kept")
    if rules():
        lead = _("Of all rules for a kind of records the longest holds. Nothing is purged before its day.")
    else:
        lead = _("No rule is entered yet. Until there is one, nothing that names a person can be purged.")
    return render(request, "desk/office_keeping.html", {"table": table, "lead": lead, "rules": way("registers-list", "retention_rule")})


@require_safe
def authorisations(request: HttpRequest) -> HttpResponse:
    """Show who may enter what, what runs out, and which entries somebody else made."""
    form, span = asked_span(request)
    today, known = timezone.localdate(), grants()
    soon = GrantTable(expiring(today, known))
    soon.caption = _("Run out, or run out soon")
    marked = UnauthorisedTable(unauthorised(span) if span else [])
    marked.caption = _("Entries by somebody without one")
    RequestConfig(request, paginate={"per_page": PER_PAGE}).configure(marked)
    return render(request, "desk/office_authorisations.html", {
        "form": form, "soon": soon, "marked": marked, "known": bool(known), "register": way("registers-list", "authorisation"),
        "lead": _("Such entries are marked, not refused.") if known else _("No authorisation is entered yet, so no entry is marked."),
    })
