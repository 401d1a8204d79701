"""One balance: its verdict, what answers it, drawn to scale, the same in figures, the entries behind it."""

from __future__ import annotations

import math
from collections import defaultdict
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils import timezone
from django.utils.safestring import SafeString
from django.utils.translation import gettext as _
from django.views.decorators.http import require_safe

from lots.balance.propagation import dry_mg
from lots.balance.words import how_far
from lots.desk.access import may
from lots.desk.climate import all_outside
from lots.desk.fault_words import left_behind, with_plot
from lots.desk.lot_book import Act
from lots.desk.node_flow import flow_of, line_word, out_word
from lots.desk.saying import both, headline, node_name, node_sentence, node_stage_word, pair_word, paragraph
from lots.desk.suspect_words import of_steps, opening, proposal_rows
from lots.desk.ways import way
from lots.desk.words import entry_number, language, material_word
from lots.drawing import words as drawing_words
from lots.drawing.flow import flow_tall, flow_wide
from lots.read.balances import BalanceNode, node_of
from lots.read.climate import outside_of_run
from lots.read.faults import Fault, Together, as_read_mg, faults
from lots.read.node_entries import NodeEntry, entries_of
from lots.read.origins import origins_of
from lots.read.suspected import Suspected, suspected
from lots.read.years import nodes_of_year
from lots.trade.language import is_japanese
from lots.trade.units import kg_text, usual_places
from lots.trade.weighing import Side, Verdict, Weighing

#: So many lines of one kind stand one by one; more are one line with their count.
ONE_BY_ONE_MAX = 6


@dataclass(frozen=True, slots=True)
class LineRow:
    """One line of a balance: from where, to where, its lot; mass as read, moisture, dry mass, share of the input."""

    source: str
    target: str
    lot: str
    href: str
    mass_mg: int
    moisture_frac: float | None
    dry_mg: float | None
    share_frac: float | None


@require_safe
def balance_node(request: HttpRequest, step: int) -> HttpResponse:
    """Show the balance that judges a step, or the run or count that it belongs to."""
    node = node_of(step)
    if node is None:
        raise Http404(_("No balance judges step %(number)s: it is not weighed, or its run is still open.") % {"number": step})
    if node.step != step:
        return redirect("balance-node", step=node.step)
    fault = fault_of(node)
    together = fault.nodes if fault else (node,)
    why = why_of(node)
    origins = origins_of([together[0].step]).get(together[0].step, ())
    name = with_plot(node_name(node), origins) if node.stage != "milling" else node_name(node)
    return render(request, "desk/balance_node.html", {
        "node": node, "balance": node.balance, "title": name, "stage": node_stage_word(node.stage),
        "headline": headline(node), "lead": lead(node, fault), "others": [other_row(n) for n in together] if fault else [],
        "lines": line_rows(node), "rest_frac": share(abs(node.balance.d_mg), node), "far": how_far(node.balance.z, language()),
        "entries": [entry_link(e) for e in entries_of(node)], "drawing": drawing(node, fault),
        "climate": all_outside(outside_of_run(node.step)) if node.stage == "milling" else "",
        "acts": acts(request, node), "why": opening(why), "proposals": proposal_rows(request, why),
    })


def fault_of(node: BalanceNode) -> Fault | None:
    """Return what a balance stands in together with another, if it does."""
    if node.balance.verdict not in {Verdict.LOOK, Verdict.STOP}:
        return None
    found = faults(nodes_of_year(timezone.localtime(node.happened_at).year))
    return next((f for f in found if len(f.nodes) > 1 and any(n.step == node.step for n in f.nodes)), None)


def why_of(node: BalanceNode) -> Suspected | None:
    """Return what would explain a balance that is off."""
    if node.balance.verdict not in {Verdict.LOOK, Verdict.STOP}:
        return None
    return of_steps(suspected(nodes_of_year(timezone.localtime(node.happened_at).year)), [node.step])


# Words ---------------------------------------------------------------------------------------------------------------


def lead(node: BalanceNode, fault: Fault | None) -> str:
    """Return the balance in words: what is missing, what answers it, and that nothing was changed."""
    if fault is None:
        alone = [node_sentence(node), _("Look at the paper ticket.")]
        return paragraph(alone if node.balance.verdict in {Verdict.LOOK, Verdict.STOP} else alone[:1])
    if fault.together is Together.READING:
        return paragraph([
            both(*map(node_sentence, fault.nodes)),
            _("Opposite, one after the other: that points at one reading between them."),
            _("Look at the paper ticket. Nothing has been changed."),
        ])
    return paragraph([carried_sentence(fault), left_behind(fault), _("Nothing has been changed.")])


def carried_sentence(fault: Fault) -> str:
    """Return how much leaf seems to have gone from one job into the next."""
    first, last = fault.nodes
    if fault.carried is None:
        return paragraph(node_sentence(n) for n in fault.nodes)
    mass_mg = as_read_mg(first, fault.carried.carried_mg)
    give_mg = as_read_mg(first, fault.carried.u_mg)
    return _("About %(mass)s of %(leaf)s, give or take %(give)s, seems to have stayed in the hopper of %(pair)s after "
             "%(first)s and to have gone into %(last)s.") % {
        "mass": kg_text(mass_mg, usual_places(mass_mg), language()), "give": kg_text(give_mg, 2, language()),
        "leaf": fault.lot, "pair": pair_word(first.machine)[:1].lower() + pair_word(first.machine)[1:], "first": first.job,
        "last": last.job,
    }


def other_row(node: BalanceNode) -> dict[str, Any]:
    """Return one of the balances that answer each other."""
    return {"name": node_name(node), "stage": node_stage_word(node.stage), "balance": node.balance,
            "href": way("balance-node", node.step), "step": node.step, "far": how_far(node.balance.z, language())}


# Lines ---------------------------------------------------------------------------------------------------------------


def share(mass_mg: float, node: BalanceNode) -> float | None:
    """Return a dry mass as a share of what went in; None where that is not known."""
    return mass_mg / node.balance.input_mg if node.balance.input_mg > 0 and math.isfinite(mass_mg) else None


def line_rows(node: BalanceNode) -> list[LineRow]:
    """Return the lines of a balance; many of one kind as one line with their count."""
    groups: dict[tuple[str, str], list[Weighing]] = defaultdict(list)
    for line in node.lines:
        groups[line.side, line.label].append(line)
    found = []
    for lines in groups.values():
        found += [line_row(node, [one]) for one in lines] if len(lines) <= ONE_BY_ONE_MAX else [line_row(node, lines)]
    return found


def line_row(node: BalanceNode, lines: Sequence[Weighing]) -> LineRow:
    """Return one line, or several of one kind together."""
    first, place = lines[0], node_stage_word(node.stage)
    back = first.side is Side.LOST and first.mass_mg < 0
    what = line_word(first) if first.side is Side.IN else out_word(first.label, node.stage, net=False)
    what = _("left-over brought back") if back else material_word(first.label) if first.side is Side.LOST else what
    dry = sum(map(dry_mg, lines))
    wet = {line.moisture_frac for line in lines}
    alone = len(lines) == 1
    inward = first.side is Side.IN or back
    return LineRow(
        source=what if inward else place, target=place if inward else what,
        lot=first.lot if alone else _("%(count)d lots") % {"count": len(lines)},
        href=way("lot", first.lot) if alone and first.lot else "", mass_mg=abs(sum(line.mass_mg for line in lines)),
        moisture_frac=next(iter(wet)) if len(wet) == 1 else None, dry_mg=abs(dry) if math.isfinite(dry) else None,
        share_frac=share(abs(dry), node),
    )


def entry_link(entry: NodeEntry) -> dict[str, Any]:
    """Return one entry behind a balance."""
    parts = {"load": _("charge"), "tub": _("tub"), "close": _("end of the run"), "adjust": _("correction"), "reverse": _("taken back")}
    words = parts.get(entry.part) or node_stage_word(entry.stage)
    return {"href": way("entry", entry.seq), "number": entry_number(entry.seq), "words": words, "at": entry.happened_at}


# Drawing and acts ----------------------------------------------------------------------------------------------------


def drawing(node: BalanceNode, fault: Fault | None) -> dict[str, SafeString] | None:
    """Return the balance to scale, with the one that answers it where both are stages of one lot."""
    nodes = fault.nodes if fault and fault.together is Together.READING else (node,)
    flow = flow_of(nodes)
    if flow is None:
        return None
    words = drawing_words.JAPANESE if is_japanese(language()) else drawing_words.ENGLISH
    return {
        "wide": SafeString(flow_wide(flow, "node-wide", described_by="same", words=words)),
        "tall": SafeString(flow_tall(flow, "node-tall", described_by="same", words=words)),
    }


def acts(request: HttpRequest, node: BalanceNode) -> list[Act]:
    """Return what can be done, as far as this person may: correct first."""
    lot = next(iter(node.lots_in if node.stage in {"milling", "counting"} else node.lots_out), "")
    code = lot if node.stage in {"milling", "counting"} else ""
    correct = way("corrections", code=code) if code else way("corrections-adjust", node.step)
    offered = [
        ("corrections-adjust", Act(_("The ticket says something else: correct it"), correct)),
        ("lot", Act(_("Open the lot book"), way("lot", lot) if lot else "")),
        ("trace", Act(_("See what it touched"), way("trace", code=lot) if lot else "")),
    ]
    return [act for page, act in offered if act.href and may(request.user, page)]
