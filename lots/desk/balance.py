"""Does it add up? What does not, by kilograms; every balance one by one; sums by lot, stage, week and machine."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from django.http import HttpRequest, HttpResponse, HttpResponseBase
from django.shortcuts import render
from django.utils.translation import gettext as _
from django.utils.translation import ngettext
from django.views.decorators.http import require_safe
from django_tables2 import RequestConfig

from lots.balance.words import how_far
from lots.desk.balance_rows import BY, group_rows, node_row
from lots.desk.fault_words import fault_entries, slow_entries, unjudged_entries
from lots.desk.saying import capital, count_word, paragraph
from lots.desk.tables.balances import BalanceFilter, GroupTable, NodeTable
from lots.desk.tables.stream import streamed
from lots.desk.ways import way
from lots.desk.words import language
from lots.read.balances import BalanceNode
from lots.read.faults import Fault, faults
from lots.read.stones import pairs_now
from lots.read.suspected import suspected
from lots.read.years import nodes_of_year, years
from lots.trade.weighing import Verdict

PER_PAGE = 25
#: Columns that stand in the file only: the page shows the others side by side.
IN_FILE_ONLY = ("week", "machine", "lots_in", "lots_out", "at_risk_mg", "output_mg", "lost_mg", "u_mg")


@dataclass(frozen=True, slots=True)
class Look:
    """One way of looking at the balances: its words, its address, whether it is the open one."""

    name: str
    href: str
    current: bool


def chosen_year(request: HttpRequest, known: Sequence[int]) -> int:
    """Return the year that was asked for, else the newest of the book."""
    typed = request.GET.get("year", "")
    asked = int(typed) if typed.isascii() and typed.isdigit() and len(typed) == 4 else 0
    return asked if asked in known else (known[0] if known else 0)


@require_safe
def balance(request: HttpRequest) -> HttpResponse:
    """Show what does not add up, or another look at the same balances."""
    known = years()
    year, by = chosen_year(request, known), request.GET.get("by", "")
    nodes = nodes_of_year(year) if year else []
    context = {"year": year, "years": known, "looks": looks(by, year), "by": by, "lead": lead(nodes)}
    if by == "all":
        return one_by_one(request, nodes, context)
    if by in BY:
        table = GroupTable(group_rows(nodes, by, year))
        RequestConfig(request, paginate={"per_page": PER_PAGE}).configure(table)
        return render(request, "desk/balance_table.html", {**context, "table": table})
    found = faults(nodes)
    fine = [n for n in nodes if n.balance.verdict is Verdict.ADDS_UP]
    slow = [p for p in pairs_now() if p.state.verdict in {Verdict.LOOK, Verdict.STOP}]
    return render(request, "desk/balance.html", {
        **context, "faults": fault_entries(found, suspected(nodes)), "slow": slow_entries(slow), "unjudged": unjudged_entries(nodes),
        "fine": fine_sentence(fine), "all_url": way("balance", by="all", year=str(year)), "lead": lead(nodes, found),
    })


def one_by_one(request: HttpRequest, nodes: Sequence[BalanceNode], context: dict[str, object]) -> HttpResponse:
    """Show every balance that was asked for, a page at a time."""
    asked = BalanceFilter(request.GET)
    rows = asked.kept([node_row(n) for n in nodes])
    table = NodeTable(rows, exclude=IN_FILE_ONLY, attrs={"class": "table stack many"})
    RequestConfig(request, paginate={"per_page": PER_PAGE}).configure(table)
    table.summary = ngettext("%(count)s balance.", "%(count)s balances.", len(rows)) % {"count": f"{len(rows):,}"}
    table.csv_url = f"{way('balance-csv')}?{request.GET.urlencode()}"
    return render(request, "desk/balance_table.html", {**context, "table": table, "filter": asked})


@require_safe
def balance_csv(request: HttpRequest) -> HttpResponseBase:
    """Send every balance that was asked for as a file."""
    year = chosen_year(request, years())
    nodes = nodes_of_year(year) if year else []
    table = NodeTable(BalanceFilter(request.GET).kept([node_row(n) for n in nodes]))
    RequestConfig(request, paginate=False).configure(table)
    return streamed(table, f"balances-{year}")


def looks(by: str, year: int) -> list[Look]:
    """Return the ways of looking at the balances."""
    names = {
        "": _("By kilograms at risk"), "lot": _("By lot"), "stage": _("By stage"), "week": _("By week"),
        "machine": _("By machine"), "all": _("One by one"),
    }
    return [
        Look(name, way("balance", **({"by": key} if key else {}), year=str(year)), key == by) for key, name in names.items()
    ]


def lead(nodes: Sequence[BalanceNode], found: Sequence[Fault] = ()) -> str:
    """Return how many balances can be judged, how many add up, and in how many places they do not."""
    if not nodes:
        return _("Nothing has been weighed yet that could be judged.")
    counts = {v: sum(1 for n in nodes if n.balance.verdict is v) for v in Verdict}
    off, cannot = counts[Verdict.STOP] + counts[Verdict.LOOK], counts[Verdict.CANNOT]
    judged = len(nodes) - cannot
    first = ngettext("%(judged)s balance can be judged", "%(judged)s balances can be judged", judged) % {
        "judged": capital(count_word(judged))}
    return paragraph([_("%(first)s: %(rest)s.") % {"first": first, "rest": rest(counts[Verdict.ADDS_UP], off, len(found))},
                      unjudged(cannot)])


def rest(fine: int, off: int, places: int) -> str:
    """Return how many add up and how many do not."""
    if not off:
        return _("all add up") if fine else _("none adds up")
    fine_words = ngettext("%(count)s adds up", "%(count)s add up", fine) % {"count": count_word(fine)}
    off_words = ngettext("%(count)s does not", "%(count)s do not", off) % {"count": count_word(off)}
    said = _("%(fine)s, %(off)s") % {"fine": fine_words, "off": off_words}
    if 0 < places < off:
        said += ngettext(", in %(count)s place", ", in %(count)s places", places) % {"count": count_word(places)}
    return said


def unjudged(count: int) -> str:
    """Return how many balances cannot be judged."""
    if not count:
        return ""
    return capital(ngettext("%(count)s cannot be judged.", "%(count)s cannot be judged.", count) % {"count": count_word(count)})


def fine_sentence(nodes: Sequence[BalanceNode]) -> str:
    """Return how many balances add up, and how far the widest of them lies from the usual."""
    if not nodes:
        return ""
    widest = max(abs(n.balance.z or 0.0) for n in nodes)
    count = ngettext("%(count)s balance", "%(count)s balances", len(nodes)) % {"count": f"{len(nodes):,}"}
    return _("%(balances)s, the widest of them %(far)s from the usual.") % {
        "balances": count, "far": how_far(widest, language())}
