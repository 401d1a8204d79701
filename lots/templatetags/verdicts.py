"""The words and marks of verdicts: those of a balance, and those of a claim, which bear the same marks."""

from __future__ import annotations

from types import MappingProxyType
from typing import Any, NamedTuple

from lots.balance.words import verdict_text
from lots.trade.language import pick
from lots.trade.weighing import Verdict


class ClaimWords(NamedTuple):
    """The words of a claim's verdict, and the verdict of a balance whose mark it bears."""

    bears: Verdict
    english: str
    japanese: str


CLAIMS = MappingProxyType({
    "holds": ClaimWords(Verdict.ADDS_UP, "holds", "示せる"),
    "to be looked at": ClaimWords(Verdict.LOOK, "to be looked at", "確かめる"),
    "fails": ClaimWords(Verdict.STOP, "fails", "当たらない"),
    "not decidable": ClaimWords(Verdict.CANNOT, "cannot be shown", "示せず"),
    "cannot be shown": ClaimWords(Verdict.CANNOT, "cannot be shown", "示せず"),
})


def borne_mark(verdict: Any) -> Verdict:
    """Return the verdict whose mark is shown; raises ValueError for what is neither a balance's nor a claim's."""
    claim = CLAIMS.get(str(verdict))
    return claim.bears if claim else Verdict(str(verdict))


def verdict_word(verdict: Any, language: str) -> str:
    """Return the word of a verdict in a language."""
    claim = CLAIMS.get(str(verdict))
    if claim:
        return pick(language, claim.english, claim.japanese)
    return verdict_text(Verdict(str(verdict)), language)
