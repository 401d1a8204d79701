"""An inspector's first question: what stood here, came in, went on, went out, was lost, stands here, of each product group."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import render
from django.utils import timezone
from django.utils.translation import gettext as _
from django.views.decorators.http import require_safe
from django_tables2 import RequestConfig

from lots.balance.period import GROUPS, IN_SIDE, STATES, Column, Figure, Sheet
from lots.desk.balance import Look
from lots.desk.forms.office import PeriodForm
from lots.desk.papers_out import XLSX, handed_out
from lots.desk.saying import capital, paragraph, sum_text
from lots.desk.tables.office import PostingTable
from lots.desk.ways import way
from lots.dossier.period_book import period_workbook
from lots.dossier.period_words import cause_word, column_word, group_and_state
from lots.dossier.tables import file_name
from lots.read.period import PeriodBook, Span, entered, of_figure
from lots.read.years import newest_at, years

PER_PAGE = 50


@dataclass(frozen=True, slots=True)
class LineRow:
    """One line of a balance on the page: this period, and the same days of the year before."""

    words: str
    side: str
    first: bool
    here: Figure | None
    before: Figure | None
    causes: str
    here_href: str
    before_href: str


@dataclass(frozen=True, slots=True)
class GroupRows:
    """One product group in one state."""

    title: str
    rows: tuple[LineRow, ...]


def year_span(year: int) -> Span:
    """Return a calendar year."""
    day = timezone.localdate().replace(year=year, month=1, day=1)
    return Span(day, day.replace(month=12, day=31))


def asked_span(request: HttpRequest) -> tuple[PeriodForm, Span | None]:
    """Return the form and the period that was asked for: the year of the newest act where nothing was."""
    newest = newest_at()
    usual = year_span(timezone.localtime(newest or timezone.now()).year)
    shown = {"first_on": usual.first_on.isoformat(), "last_on": usual.last_on.isoformat()}
    asked = {name: request.GET.get(name, shown[name]) for name in shown}
    form = PeriodForm(asked)
    return form, Span(**form.cleaned_data) if form.is_valid() else None


@require_safe
def period(request: HttpRequest) -> HttpResponse:
    """Show the balances of a period beside those of the same days a year before."""
    form, span = asked_span(request)
    if span is None:
        return render(request, "desk/office_balance.html", {"form": form, "lead": "", "groups": [], "looks": looks(None)})
    book = PeriodBook()
    here, before = book.sheets(span), book.sheets(span.a_year_before())
    return render(request, "desk/office_balance.html", {
        "form": form, "lead": lead(span, here), "groups": groups(span, here, before), "looks": looks(span), "two": bool(before),
        "file": way("office-balance-file", **asked_of(span)),
    })


@require_safe
def period_file(request: HttpRequest) -> HttpResponse:
    """Return the workbook of a period."""
    _form, span = asked_span(request)
    if span is None:
        raise Http404(_("A period has a first and a last day, as 2026-01-01."))
    name = file_name("balance", span.first_on.isoformat(), span.last_on.isoformat())
    return handed_out(period_workbook(span, timezone.now()), f"{name}.xlsx", XLSX)


@require_safe
def figure(request: HttpRequest) -> HttpResponse:
    """Show what makes one figure: every posting with its entry."""
    form, span = asked_span(request)
    group, state, line = (request.GET.get(name, "") for name in ("group", "state", "line"))
    if span is None or group not in GROUPS or state not in STATES or line not in set(Column):
        raise Http404(_("There is no such figure in a balance."))
    book = PeriodBook()
    found = entered(book, of_figure(book.postings(span), group, state, line))
    table = PostingTable(found)
    table.caption = column_word(line)
    table.summary = sum_text(sum(one.posting.dry_mg for one in found), 2)
    RequestConfig(request, paginate={"per_page": PER_PAGE}).configure(table)
    return render(request, "desk/office_figure.html", {
        "table": table, "title": _("%(group)s: %(line)s") % {"group": capital(group_and_state(group, state)), "line": column_word(line)},
        "lead": _("%(first)s to %(last)s, on dry matter.") % {"first": span.first_on.isoformat(), "last": span.last_on.isoformat()},
        "back": way("office-balance", **asked_of(span)), "form": form,
    })


def asked_of(span: Span) -> dict[str, str]:
    """Return a period as an address names it."""
    return {"first_on": span.first_on.isoformat(), "last_on": span.last_on.isoformat()}


def looks(span: Span | None) -> list[Look]:
    """Return the years of the book."""
    return [Look(str(year), way("office-balance", **asked_of(year_span(year))), year_span(year) == span) for year in years()]


def lead(span: Span, here: Sequence[Sheet]) -> str:
    """Return the period in sentences that can be read aloud."""
    received, out, lost = (sum(s.dry_mg(c) for s in here) for c in (Column.RECEIVED, Column.OUT, Column.UNEXPLAINED))
    days = {"first": span.first_on.isoformat(), "last": span.last_on.isoformat()}
    if not here:
        return _("From %(first)s to %(last)s nothing stood here and nothing moved.") % days
    return paragraph([
        _("From %(first)s to %(last)s, all on dry matter.") % days,
        _("%(received)s were received, %(out)s went out.") % {"received": sum_text(received), "out": sum_text(out)},
        _("%(mass)s are not explained, sign counted.") % {"mass": sum_text(lost)},
    ])


def groups(span: Span, here: Sequence[Sheet], before: Sequence[Sheet]) -> list[GroupRows]:
    """Return the product groups that had anything in either period."""
    now, then = ({(s.group, s.state): s for s in some} for some in (here, before))
    keys = sorted({*now, *then}, key=lambda key: (STATES.index(key[1]), GROUPS.index(key[0])))
    return [GroupRows(capital(group_and_state(*key)), tuple(rows(span, key, now, then))) for key in keys]


Sheets = Mapping[tuple[str, str], Sheet]


def rows(span: Span, key: tuple[str, str], now: Sheets, then: Sheets) -> list[LineRow]:
    """Return the lines of one group that are not empty in both periods; the last always stands."""
    found = []
    for column in Column:
        here, before = (sheets[key].figures.get(column) if key in sheets else None for sheets in (now, then))
        if here or before or column is Column.UNEXPLAINED:
            side = _("in") if column in IN_SIDE else _("out")
            found.append(LineRow(
                column_word(column), side, not found or found[-1].side != side, here, before, causes(column, here),
                way_to(span, key, column) if here else "", way_to(span.a_year_before(), key, column) if before else "",
            ))
    return found


def causes(column: Column, here: Figure | None) -> str:
    """Return the causes of a figure in words; none where the line says it all."""
    if here is None or (len(here.causes) < 2 and column not in {Column.LOST, Column.UNEXPLAINED}):
        return ""
    return _(", ").join(f"{cause_word(cause)} {sum_text(dry, 2)}" for cause, dry in here.causes)


def way_to(span: Span, key: tuple[str, str], column: Column) -> str:
    """Return the way to what makes a figure."""
    return way("office-balance-figure", **asked_of(span), group=key[0], state=key[1], line=column.value)
