"""What is meant to be said of a blend, asked about before it is written: the shares by the book, then with what machines may have
brought."""

from __future__ import annotations

from django.utils.translation import gettext as _

from lots.genealogy.shares import Claim, Standing
from lots.read.blending import Mix, worst_case_frac
from lots.record.words import language
from lots.record.writing import Writing
from lots.trade.units import percent_text


def claimed(label: str, kind: str, least_frac: float) -> str:
    """Return a claim in words: "at least 60 % Saemidori", "organic only"."""
    what = _("flush %(number)s") % {"number": label} if kind == "flush" else {"organic": _("organic")}.get(label, label)
    if least_frac >= 1:
        return _("%(what)s only") % {"what": what}
    return _("at least %(share)s %(what)s") % {"share": percent_text(least_frac, 0, language()), "what": what}


def claim_sentence(claim: Claim, kind: str, label: str, least_frac: float) -> str:
    """Return whether a blend keeps a claim, with its bounds."""
    words = {
        "claim": claimed(label, kind, least_frac), "least": percent_text(claim.lower_frac, 1, language()),
        "most": percent_text(claim.upper_frac, 1, language()),
    }
    if claim.standing is Standing.HOLDS:
        return _("It keeps what is meant: %(claim)s. By the book it is at least %(least)s.") % words
    if claim.standing is Standing.FAILS:
        return _("It cannot be called %(claim)s: by the book it is at most %(most)s.") % words
    return _("It cannot be shown that it is %(claim)s: with what machines may have brought it is between %(least)s and %(most)s.") % words


def ask_about_claim(w: Writing, made: Mix, kind: str, label: str, least_frac: float) -> None:
    """Ask where a blend does not keep what is meant, in the worst case."""
    claim = made.claim(kind, label, least_frac)
    if claim.standing is Standing.HOLDS:
        claim = made.claim(kind, label, least_frac, worst_case_frac(made.parts))
    if claim.standing is not Standing.HOLDS:
        w.question(claim_sentence(claim, kind, label, least_frac), "poured")
