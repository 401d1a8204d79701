"""What does not add up, in words: one entry for each fault, verdict first, kilograms second, cause third."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from django.utils.translation import gettext as _

from lots.balance.throughput import rate_sentence
from lots.desk.saying import (
    Said,
    both,
    day_text,
    listed,
    node_name,
    node_sentence,
    node_stage_word,
    pair_word,
    paragraph,
    small_first,
)
from lots.desk.suspect_words import explained, of_steps
from lots.desk.ways import way
from lots.desk.words import language
from lots.read.balances import BalanceNode
from lots.read.faults import Fault, Together, as_read_mg
from lots.read.origins import OriginShare, origins_of
from lots.read.stones import PairNow
from lots.read.suspected import Suspected
from lots.trade.units import kg_text, usual_places
from lots.trade.weighing import Verdict

Origins = Mapping[int, Sequence[OriginShare]]


def fault_entries(found: Sequence[Fault], explanations: Sequence[Suspected] = ()) -> list[Said]:
    """Return faults as entries, in the order in which they come, each with what would explain it."""
    origins = origins_of({fault.nodes[0].step for fault in found})
    return [fault_entry(fault, origins, explanations) for fault in found]


def fault_entry(fault: Fault, origins: Origins, explanations: Sequence[Suspected] = ()) -> Said:
    """Return one fault as an entry, with the way to its balance."""
    said = {Together.READING: reading, Together.CARRIED: carried, Together.ALONE: alone}[fault.together]
    what, sentence = said(fault, origins.get(fault.nodes[0].step, ()))
    why = explained(of_steps(explanations, [n.step for n in fault.nodes]))
    do = _("See the two figures") if fault.together is Together.READING else _("Look at it")
    if fault.together is Together.CARRIED:
        do = _("Look at %(pair)s") % {"pair": small_first(pair_word(fault.nodes[0].machine))}
    return Said(
        what=_("%(what)s.") % {"what": what}, sentence=paragraph([sentence, why]), small=_("at risk"), big_mg=fault.at_risk_mg,
        verdict=fault.verdict, href=way("balance-node", fault.nodes[0].step), do=do,
    )


def with_plot(name: str, origins: Sequence[OriginShare]) -> str:
    """Return a lot with the plot that it is of, where it is of one alone."""
    one = origins[0] if len(origins) == 1 else None
    return _("%(lot)s, %(plot)s") % {"lot": name, "plot": one.plot_name} if one and one.plot_name else name


def alone(fault: Fault, origins: Sequence[OriginShare]) -> tuple[str, str]:
    """Return a balance that nothing answers."""
    node = fault.nodes[0]
    name = node_name(node) if node.stage == "milling" else with_plot(node_name(node), origins)
    what = _("%(lot)s: %(stage)s") % {"lot": name, "stage": node_stage_word(node.stage)}
    return name if node.stage == "milling" else what, node_sentence(node)


def reading(fault: Fault, origins: Sequence[OriginShare]) -> tuple[str, str]:
    """Return opposite residuals in two stages of one lot."""
    stages = listed([node_stage_word(n.stage) for n in fault.nodes])
    what = _("%(lot)s: %(stage)s") % {"lot": with_plot(fault.lot, origins), "stage": stages}
    return what, paragraph([both(*map(node_sentence, fault.nodes)), _("That points at one reading between them.")])


def carried(fault: Fault, _origins: Sequence[OriginShare]) -> tuple[str, str]:
    """Return opposite residuals in two jobs of one machine."""
    first, last = fault.nodes
    what = _("%(pair)s: jobs %(jobs)s") % {"pair": pair_word(first.machine), "jobs": listed([first.job, last.job])}
    if fault.carried is None:
        told = [f"{n.job}: {small_first(node_sentence(n))}" for n in fault.nodes]
        return what, paragraph(told)
    mass_mg = as_read_mg(first, fault.carried.carried_mg)
    gone = _("About %(mass)s of %(leaf)s seems to have gone into %(job)s.") % {
        "mass": kg_text(mass_mg, usual_places(mass_mg), language()), "leaf": fault.lot, "job": last.job,
    }
    return what, paragraph([gone, left_behind(fault)])


def left_behind(fault: Fault) -> str:
    """Return what no hand did between two jobs."""
    day = day_text(fault.nodes[-1].happened_at)
    if fault.cleaned_between:
        return _("The pair was opened and cleaned in between.")
    if fault.left_over_mg:
        return _("No clean-down stands in the book before %(day)s.") % {"day": day}
    return _("No left-over and no clean-down stand in the book before %(day)s.") % {"day": day}


def unjudged_entries(nodes: Sequence[BalanceNode]) -> list[Said]:
    """Return balances that cannot be judged, most kilograms first."""
    cannot = [n for n in nodes if n.balance.verdict is Verdict.CANNOT]
    return [
        Said(what=_("%(what)s: %(stage)s.") % {"what": node_name(n), "stage": node_stage_word(n.stage)},
             sentence=node_sentence(n), big_mg=n.at_risk_mg, verdict=n.balance.verdict,
             href=way("balance-node", n.step), do=_("Look at it"))
        for n in sorted(cannot, key=lambda n: -n.at_risk_mg)
    ]


def slow_entries(pairs: Sequence[PairNow]) -> list[Said]:
    """Return the stone pairs whose rate has fallen: mass closes, the time does not."""
    return [
        Said(what=_("%(pair)s.") % {"pair": pair_word(p.code)},
             sentence=paragraph([_("Its mass closes."), rate_sentence(p.state, language())]),
             side=_("no mass"), verdict=p.state.verdict, href=way("milling"), do=_("Look at the stones"))
        for p in pairs
    ]
