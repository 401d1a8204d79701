"""The office, and the questions of an inspector: one door, with what lies behind it."""

from __future__ import annotations

from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.utils.translation import gettext as _
from django.views.decorators.http import require_safe

from lots.desk.access import may
from lots.desk.saying import Said
from lots.desk.ways import way


@require_safe
def office(request: HttpRequest) -> HttpResponse:
    """Show what an inspector asks, and what the office keeps."""
    return render(request, "desk/office.html", {"questions": open_to(request, questions()), "kept": open_to(request, kept())})


def open_to(request: HttpRequest, found: list[tuple[str, Said]]) -> list[Said]:
    """Return the entries whose page this person may open."""
    return [said for page, said in found if may(request.user, page)]


def questions() -> list[tuple[str, Said]]:
    """Return what an inspector asks, by page."""
    return [
        ("office-balance", Said(
            what=_("Balance of a period."), href=way("office-balance"), do=_("Open it"),
            sentence=_("What stood here, came in, went out, was lost and stands here, by product group; as a workbook too."),
        )),
        ("office-yields", Said(
            what=_("Yields."), href=way("office-yields"), do=_("Open them"),
            sentence=_("Fresh leaf per plot, grower and year; organic tea against its certified leaf."),
        )),
        ("office-plan", Said(
            what=_("Traceability plan."), href=way("office-plan"), do=_("Open it"),
            sentence=_("How records are kept, what makes one lot, plots, the recall team; to print."),
        )),
        ("office-plot", Said(
            what=_("From a plot to every pack."), href=way("office-plot"), do=_("Pick a plot"),
            sentence=_("Where the leaf of a plot went, with consignees, and what was put on it with its intervals."),
        )),
    ]


def kept() -> list[tuple[str, Said]]:
    """Return what the office keeps, by page."""
    return [
        ("registers", Said(
            what=_("Registers."), href=way("registers"), do=_("Open them"),
            sentence=_("Parties and their contacts, lot rules, how long records are kept, authorisations, the recall team."),
        )),
        ("office-indicators", Said(
            what=_("Indicators."), href=way("office-indicators"), do=_("Open them"),
            sentence=_("How fast a trace is, and how much is reconciled, late, not explained and overdue."),
        )),
        ("office-late", Said(
            what=_("Late entries."), href=way("office-late"), do=_("Open them"),
            sentence=_("What was written on a later day than it happened, how late, and by whom."),
        )),
        ("office-keeping", Said(
            what=_("How long records are kept."), href=way("office-keeping"), do=_("Open it"),
            sentence=_("The longest rule for each kind of records, and when the first may go."),
        )),
        ("office-authorisations", Said(
            what=_("Who may enter what."), href=way("office-authorisations"), do=_("Open it"),
            sentence=_("What runs out, and entries by somebody without an authorisation."),
        )),
        ("office-accounts", Said(
            what=_("Accounts."), href=way("office-accounts"), do=_("Open them"),
            sentence=_("Who can come in, and an account for an auditor that ends by itself."),
        )),
    ]
