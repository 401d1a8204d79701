"""What the book supports of the words that may stand on a label: share on dry mass, and what contact leaves open."""

from __future__ import annotations

from collections.abc import Callable, Collection
from dataclasses import dataclass

from django.utils.translation import gettext as _
from django.utils.translation import ngettext

from lots.dossier import words
from lots.dossier.eyes import Eyes
from lots.genealogy.composition import UNKNOWN
from lots.genealogy.shares import UNKNOWN_LABEL, Claim, Ground, Standing, by_label, claim_at_least, claim_single
from lots.read.origins import OriginShare
from lots.read.trace_records import Touched, Trace
from lots.trade.units import percent_text
from lots.trade.weighing import Verdict

LabelOf = Callable[[OriginShare], str]
BEARS = {Standing.HOLDS: Verdict.ADDS_UP, Standing.FAILS: Verdict.STOP, Standing.NOT_DECIDABLE: Verdict.CANNOT}


@dataclass(frozen=True, slots=True)
class ClaimRow:
    """One claim as a paper prints it: the words of the label, the verdict whose mark it bears, its word, the ground."""

    words: str
    verdict: Verdict
    answer: str
    ground: str


class Claims:
    """Judges the usual claims of one trace. ``mass_mg`` is what the lots weighed: a bound is a share of it at most."""

    def __init__(self, traced: Trace, mass_mg: int, eyes: Eyes) -> None:
        self.trace, self.mass_mg, self.eyes = traced, mass_mg, eyes
        self.touched = [t for t in traced.touched if not t.forward]
        self.composition = {o.harvest if o.harvest is not None else UNKNOWN: o.share_frac for o in traced.origins}
        self.whole = traced.origins and abs(sum(self.composition.values()) - 1) < 1e-9

    @property
    def bound_mg(self) -> int | None:
        """The most that contact may have brought, as read; None where one contact has no bound."""
        bounds = [t.bound_mg for t in self.touched]
        return None if None in bounds else sum(b for b in bounds if b is not None)

    @property
    def bound_frac(self) -> float | None:
        """The same as a share of the lot."""
        if not self.touched:
            return 0.0
        return None if self.bound_mg is None or self.mass_mg <= 0 else min(self.bound_mg / self.mass_mg, 1.0)

    def rows(self) -> list[ClaimRow]:
        """Return every claim that is asked of a lot; none where no origin is known."""
        if not self.whole:
            return []
        return [
            self.all_of(_("Organic"), lambda o: o.state, "organic"),
            self.single(_("Single cultivar"), lambda o: o.cultivar),
            self.single(_("Single plot"), lambda o: o.plot),
            self.all_of(_("First flush"), lambda o: str(o.flush_no), "1"),
            *self.valley(),
        ]

    def valley(self) -> list[ClaimRow]:
        """Return the claim of the valley, where one is entered."""
        valleys = list(by_label(self.composition, self.labels(lambda o: o.valley)))
        name = next((v for v in valleys if v != UNKNOWN_LABEL), "")
        return [self.all_of(_("From the %(valley)s only") % {"valley": name}, lambda o: o.valley, name)] if name else []

    def labels(self, label_of: LabelOf) -> dict[int, str]:
        """Return the label of each harvest in the lot."""
        return {o.harvest: label_of(o) for o in self.trace.origins if o.harvest is not None}

    def touched_labels(self, label_of: LabelOf) -> Collection[str]:
        """Return the labels of what contact may have brought."""
        return {label_of(o) if o.harvest is not None else UNKNOWN_LABEL for t in self.touched for o in (*t.origins, *t.behind)}

    def single(self, said: str, label_of: LabelOf) -> ClaimRow:
        """Judge that it is of one label only."""
        claim = claim_single(
            self.composition, self.labels(label_of), self.bound_frac, touched_labels=self.touched_labels(label_of),
        )
        return self.row(said, claim, label_of)

    def all_of(self, said: str, label_of: LabelOf, label: str) -> ClaimRow:
        """Judge that all of it has a label."""
        claim = claim_at_least(
            self.composition, self.labels(label_of), label, 1.0, self.bound_frac, touched_labels=self.touched_labels(label_of),
        )
        return self.row(said, claim, label_of)

    def row(self, said: str, claim: Claim, label_of: LabelOf) -> ClaimRow:
        """Return a judged claim as it is printed."""
        answers = {
            Standing.HOLDS: _("the book supports it"), Standing.FAILS: _("the book does not support it"),
            Standing.NOT_DECIDABLE: _("cannot be shown"),
        }
        shares = by_label(self.composition, self.labels(label_of))
        recorded = _(", ").join(
            f"{percent_text(share, 1, words.language())} {self.label_word(label)}" for label, share in shares.items()
        )
        open_ = f" {self.contact(claim, label_of)}" if claim.ground is Ground.CONTACT else ""
        return ClaimRow(said, BEARS[claim.standing], answers[claim.standing], _("%(shares)s by the book.") % {"shares": recorded} + open_)

    def label_word(self, label: str) -> str:
        """Return a label as people say it."""
        if label == UNKNOWN_LABEL:
            return _("of unknown origin")
        if label in {o.cultivar for o in self.trace.origins}:
            return self.eyes.cultivar_word(label)
        plots = {o.plot: o for o in self.trace.origins}
        if label in plots:
            return self.eyes.plot_words(plots[label])
        return _("flush %(number)s") % {"number": label} if label.isdigit() else words.state_word(label)

    def contact(self, claim: Claim, label_of: LabelOf) -> str:
        """Return what contact leaves open: how much, of what, over which machines."""
        by = [t for t in self.touched if self.other_leaf(t, claim, label_of)]
        machines = ", ".join(sorted({machine for t in by for machine in t.machines}))
        count = len({o.harvest for t in by for o in (*t.origins, *t.behind)})
        of = ngettext("%(count)s other harvest", "%(count)s other harvests", count) % {"count": count}
        if any(t.bound_mg is None for t in by):
            return _("Leaf of %(harvests)s may have come over on %(machines)s; nobody knows how much.") % {
                "harvests": of, "machines": machines,
            }
        return _("Up to %(mass)s of %(harvests)s on %(machines)s is not excluded.") % {
            "mass": words.mass(sum(t.bound_mg or 0 for t in by)), "harvests": of, "machines": machines,
        }

    def other_leaf(self, touched: Touched, claim: Claim, label_of: LabelOf) -> bool:
        """Tell whether a contact may have brought leaf of another label."""
        return any(o.harvest is None or label_of(o) != claim.label for o in (*touched.origins, *touched.behind))
