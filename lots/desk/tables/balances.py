"""Balances as tables: one row each, or summed by lot, stage, week or machine."""

from __future__ import annotations

import datetime as dt
from dataclasses import dataclass
from typing import Any

from django import forms
from django.utils.translation import gettext_lazy as _

from lots.desk.saying import node_stage_word
from lots.desk.tables.base import (
    CodeColumn,
    CountColumn,
    KgColumn,
    LedgerTable,
    SignedColumn,
    SignedKgColumn,
    VerdictColumn,
    WordColumn,
)
from lots.desk.tables.days import ShortDayColumn
from lots.trade.stages import STAGES
from lots.trade.weighing import Verdict

JUDGED = tuple(key for key, stage in STAGES.items() if stage.judged)


@dataclass(frozen=True, slots=True)
class NodeRow:
    """One balance as a row; masses in mg dry but for ``at_risk_mg``, which is as read. None where it is not known."""

    step: int
    href: str
    name: str
    stage: str
    happened_at: dt.datetime
    week: str
    machine: str
    lots_in: str
    lots_out: str
    at_risk_mg: int
    input_mg: float | None
    output_mg: float | None
    lost_mg: float | None
    d_mg: float | None
    e_mg: float | None
    u_mg: float | None
    z: float | None
    verdict: Verdict


@dataclass(frozen=True, slots=True)
class GroupRow:
    """The sum of some balances as a row, and the gravest verdict among them."""

    name: str
    href: str
    count: int
    unjudged_count: int
    input_mg: float | None
    d_mg: float | None
    e_mg: float | None
    z: float | None
    verdict: Verdict
    worst: Verdict


def stage_choices() -> list[tuple[str, Any]]:
    """Return the stages that are judged."""
    return [("", _("all stages")), *((key, node_stage_word(key)) for key in JUDGED)]


def verdict_choices() -> list[tuple[str, Any]]:
    """Return the verdicts."""
    words = {
        Verdict.STOP: _("stop"), Verdict.LOOK: _("look"), Verdict.ADDS_UP: _("adds up"), Verdict.CANNOT: _("cannot be judged"),
    }
    return [("", _("any verdict")), *((verdict.value, word) for verdict, word in words.items())]


class BalanceFilter(forms.Form):
    """Words, stage, verdict."""

    q = forms.CharField(label=_("Lot, job or machine"), required=False, widget=forms.TextInput(attrs={
        "lang": "en", "autocapitalize": "off", "spellcheck": "false", "autocomplete": "off",
    }))
    stage = forms.ChoiceField(label=_("Stage"), choices=stage_choices, required=False)
    verdict = forms.ChoiceField(label=_("Verdict"), choices=verdict_choices, required=False)

    def kept(self, rows: list[NodeRow]) -> list[NodeRow]:
        """Return the rows that were asked for; all of them where the question is not understood."""
        asked = self.cleaned_data if self.is_bound and self.is_valid() else {}
        words = str(asked.get("q") or "").strip().lower()
        return [
            row for row in rows
            if (not asked.get("stage") or row.stage == asked["stage"])
            and (not asked.get("verdict") or row.verdict == asked["verdict"])
            and words in f"{row.name} {row.machine} {row.lots_in} {row.lots_out}".lower()
        ]


class StageColumn(WordColumn):
    """A stage as a balance names it."""

    def render(self, value: Any) -> str:
        """Return the word."""
        return node_stage_word(value)

    def text(self, value: Any) -> str:
        """Return the word."""
        return node_stage_word(value)


class NodeTable(LedgerTable):
    """Every balance of a year."""

    name = CodeColumn(_("What"), linkify=lambda record: record.href)
    stage = StageColumn(_("Stage"))
    happened_at = ShortDayColumn(_("Day"))
    week = WordColumn(_("Week"))
    machine = WordColumn(_("Machine"), default="")
    lots_in = WordColumn(_("Lots in"), default="")
    lots_out = WordColumn(_("Lots out"), default="")
    at_risk_mg = KgColumn(_("went in, kg as read"))
    input_mg = KgColumn(_("went in, kg dry"))
    output_mg = KgColumn(_("came out, kg dry"), places=3)
    lost_mg = KgColumn(_("lost for a reason, kg dry"), places=3)
    d_mg = SignedKgColumn(_("not found, kg dry"), places=3)
    e_mg = KgColumn(_("usual, kg dry"), places=3)
    u_mg = KgColumn(_("uncertainty, kg dry"), places=3)
    verdict = VerdictColumn(_("Verdict"))
    z = SignedColumn(_("from usual"))

    caption = _("Balances")


class GroupTable(LedgerTable):
    """Balances summed."""

    name = CodeColumn(_("What"), linkify=lambda record: record.href or None)
    count = CountColumn(_("balances"))
    input_mg = KgColumn(_("went in, kg dry"))
    d_mg = SignedKgColumn(_("not found, kg dry"))
    e_mg = KgColumn(_("usual, kg dry"))
    z = SignedColumn(_("from usual"))
    verdict = VerdictColumn(_("The sum"))
    worst = VerdictColumn(_("The gravest alone"))

    caption = _("Balances summed")
