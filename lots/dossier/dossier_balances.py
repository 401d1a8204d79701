"""The balances of a dossier: one row for each stage, and the gravest verdict in one sentence."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from itertools import groupby
from math import hypot, isfinite

from django.utils.safestring import SafeString
from django.utils.text import capfirst
from django.utils.translation import gettext as _
from django.utils.translation import ngettext

from lots.balance.closure import close
from lots.balance.totals import total, worst_of
from lots.balance.words import balance_sentence, verdict_text
from lots.dossier import words
from lots.drawing.marks import mark_with_word
from lots.read.balances import BalanceNode
from lots.read.closing import expectation
from lots.trade.units import number_text
from lots.trade.weighing import Balance, Side, Verdict, Weighing

#: What is usual reaches so many scatters to either side.
BAND_K = 2.0


@dataclass(frozen=True, slots=True)
class BalanceRow:
    """One stage, or one run that stands out of its job, in kilograms: as read on both sides, dry what was not found."""

    stage: str
    name: str
    in_kg: str
    out_kg: str
    lost: str
    found_kg: str
    band: str
    verdict: Verdict
    mark: SafeString
    sentence: str
    inner: bool = False


def verdict_mark(verdict: Verdict, said: str = "") -> SafeString:
    """Return mark and word of a verdict."""
    return SafeString(mark_with_word(verdict, said or verdict_text(verdict, words.language())))


def balance_rows(nodes: Sequence[BalanceNode]) -> list[BalanceRow]:
    """Return the balances by stage; the runs of one job together, and under it those that do not add up."""
    rows: list[BalanceRow] = []
    for _key, group in groupby(nodes, lambda node: (node.stage, node.job or node.step)):
        members = list(group)
        rows.append(stage_row(members))
        if len(members) > 1:
            rows += [one_row(node, node.name, inner=True) for node in members if node.balance.verdict is not Verdict.ADDS_UP]
    return rows


def stage_row(members: Sequence[BalanceNode]) -> BalanceRow:
    """Return one balance, or the sum of a job's runs with the gravest of their verdicts."""
    if len(members) == 1:
        return one_row(members[0], members[0].name)
    summed = total([node.balance for node in members], words.language())
    verdict = worst_of([summed.balance.verdict, *(node.balance.verdict for node in members)])
    lines = [line for node in members for line in node.lines]
    return made_row(members[0].stage, members[0].job, lines, summed.balance, verdict, "")


def one_row(node: BalanceNode, name: str, *, inner: bool = False) -> BalanceRow:
    """Return one balance."""
    row = made_row(node.stage, name, node.lines, node.balance, node.balance.verdict, balance_words(node))
    return replace(row, inner=inner)


def made_row(stage: str, name: str, lines: Sequence[Weighing], balance: Balance, verdict: Verdict, sentence: str) -> BalanceRow:
    """Return one row from its lines and its balance."""
    return BalanceRow(
        stage=words.stage_word(stage), name=name, in_kg=side_kg(lines, Side.IN), out_kg=side_kg(lines, Side.OUT), lost=losses(lines),
        found_kg=kg(balance.d_mg, signed=True), band=band(balance), verdict=verdict, mark=verdict_mark(verdict), sentence=sentence,
    )


def kg(mass_mg: float, *, signed: bool = False) -> str:
    """Return a mass in kilograms without its unit."""
    return number_text(mass_mg / 1e6, 2, signed=signed, language=words.language()) if isfinite(mass_mg) else _("not known")


def side_kg(lines: Sequence[Weighing], side: Side) -> str:
    """Return the sum of one side as read."""
    return kg(sum(line.mass_mg for line in lines if line.side is side))


def losses(lines: Sequence[Weighing]) -> str:
    """Return the declared losses by cause, in kilograms as read."""
    lost = [(line.label, line.mass_mg) for line in lines if line.side is Side.LOST and line.mass_mg > 0]
    return _(", ").join(f"{words.loss_word(label)} {kg(mass)}" for label, mass in lost)


def band(balance: Balance) -> str:
    """Return what is usual at such a stage: from two scatters below the usual loss to two above."""
    if not isfinite(balance.e_mg) or not isfinite(balance.u_mg):
        return _("not known")
    spread = BAND_K * hypot(balance.u_mg, balance.scatter_mg)
    low, high = kg(balance.e_mg - spread, signed=True), kg(balance.e_mg + spread, signed=True)
    return _("%(low)s to %(high)s") % {"low": low, "high": high}


def balance_words(node: BalanceNode) -> str:
    """Return a balance as a sentence, in the paper's language."""
    if node.balance.z is None:
        return close(node.lines, expectation(node.stage), words.language()).why
    return balance_sentence(node.balance, node.stage, words.language())


def headline(nodes: Sequence[BalanceNode]) -> tuple[Verdict, str]:
    """Return the gravest verdict on the way, and it in a sentence."""
    if not nodes:
        return Verdict.CANNOT, _("No stage of it is judged: nothing was weighed on both sides yet.")
    verdict = worst_of(node.balance.verdict for node in nodes)
    unjudged = [node for node in nodes if node.balance.verdict is Verdict.CANNOT]
    grave = [node for node in nodes if node.balance.verdict is verdict] if verdict is not Verdict.ADDS_UP else unjudged
    if not grave:
        return verdict, _("Adds up at every stage that is judged")
    more = len([n for n in nodes if n.balance.verdict is not Verdict.ADDS_UP]) - 1
    word = verdict if verdict is not Verdict.ADDS_UP else Verdict.CANNOT
    said = _("%(verdict)s: %(name)s. %(sentence)s") % {
        "verdict": capfirst(verdict_text(word, words.language())), "name": grave[0].name, "sentence": balance_words(grave[0]),
    }
    beside = ngettext("One more balance stands open.", "%(count)s more balances stand open.", more) % {"count": more} if more > 0 else ""
    return word, f"{said} {beside}".strip()
