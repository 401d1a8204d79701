"""The question at save: when the leaf does not add up, the hand that weighed is asked once, with its paper still there."""

from __future__ import annotations

from django.utils.translation import gettext as _

from lots.balance.closure import close
from lots.balance.words import balance_sentence
from lots.models import Flow
from lots.read.closing import expectation, weighings
from lots.record.words import language
from lots.record.writing import Writing
from lots.trade.weighing import Verdict, Weighing


def judge(w: Writing, stage: str, lines: list[Weighing] | None = None) -> None:
    """Ask about a step whose balance says stop; it is taken with a reason and marked."""
    balance = close(lines if lines is not None else weighings(w.rows_of(Flow)), expectation(stage))
    if balance.verdict is Verdict.STOP:
        msg = _("%(balance)s Look at the scale and the ticket again.")
        w.question(msg % {"balance": balance_sentence(balance, stage, language())})
