"""A blend in words: its shares by dry mass, what may be said of it, and how far it lies off its plan."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from django.utils.translation import gettext as _

from lots.desk.forms.many_weighed import WeighedLine
from lots.desk.saying import listed
from lots.desk.scanned import lot_of
from lots.desk.words import joined, language, mass
from lots.models import Lot, Stock
from lots.read.blending import Mix, PlanLine, PlanTold, mixed, parts_of
from lots.read.names import lot_name
from lots.record.claiming import claim_sentence, claimed
from lots.trade.units import percent_text

SHARES_SAID = 4
OFF_LEAST_MG = 1_000


def typed_masses(lines: Sequence[WeighedLine]) -> tuple[list[tuple[Lot, int]], list[str]]:
    """Return the lots of a list with their masses, all that the book has where none was typed, and what nobody knows."""
    found = [(line, lot_of(line.scanned)) for line in lines]
    left = dict(Stock.objects.filter(lot__in=[lot.pk for _line, lot in found if lot]).values_list("lot_id", "book_mg"))
    known = [(lot, line.mass_mg if line.mass_mg is not None else max(0, left.get(lot.pk, 0))) for line, lot in found if lot]
    return known, [line.scanned.typed for line, lot in found if lot is None]


def mix_of(masses: Sequence[tuple[Lot, int]]) -> Mix | None:
    """Return what lots make together, nothing while nothing is weighed."""
    some = [(lot, mass_mg) for lot, mass_mg in masses if mass_mg > 0]
    return mixed(parts_of(some)) if some else None


def poured_words(masses: Sequence[tuple[Lot, int]], unknown: Sequence[str]) -> str:
    """Return what was poured so far, by share of dry mass."""
    if unknown:
        return _("No lot %(code)s is in the book.") % {"code": unknown[0]}
    made = mix_of(masses)
    if made is None:
        return ""
    whole = sum(part.dry_mg for part in made.parts) or 1.0
    shares = [
        _("%(share)s %(lot)s") % {"share": percent_text(part.dry_mg / whole, 1, language()), "lot": lot_name(part.lot).name}
        for part in made.parts
    ]
    return _("%(mass)s: %(shares)s of the dry mass.") % {"mass": mass(sum(part.mass_mg for part in made.parts)), "shares": listed(shares)}


def leaf_words(made: Mix) -> str:
    """Return what the leaf is by cultivar, the largest shares first."""
    shares = list(made.shares("cultivar").items())
    said = [f"{percent_text(share, 1, language())} {label or _('of unknown origin')}" for label, share in shares[:SHARES_SAID]]
    return _("Leaf: %(shares)s.") % {"shares": listed(said)}


def promise_words(made: Mix, claim: dict[str, Any]) -> str:
    """Return whether a blend keeps what is meant, by the shares of the book."""
    if not claim["kind"]:
        return ""
    least_frac = float(claim["least_frac"])
    judged = made.claim(claim["kind"], claim["label"], least_frac)
    return claim_sentence(judged, claim["kind"], claim["label"], least_frac)


def plan_claim(plan: PlanTold) -> dict[str, Any]:
    """Return the claim of a plan."""
    return {"kind": plan.kind, "label": plan.label, "least_frac": plan.least_frac}


def plan_words(plan: PlanTold) -> str:
    """Return a plan in words: its lots, and what is meant."""
    parts = listed([_("%(mass)s of %(lot)s") % {"mass": mass(mass_mg), "lot": lot_name(lot).name} for lot, mass_mg in plan.parts])
    meant = _("Meant: %(claim)s.") % {"claim": claimed(plan.label, plan.kind, plan.least_frac)} if plan.kind else ""
    return joined([_("%(parts)s.") % {"parts": parts}, meant])


def beside_words(lines: Sequence[PlanLine]) -> str:
    """Return how far what was poured lies off its plan, lot by lot."""
    off = [line_words(line) for line in lines if abs(line.off_mg) >= OFF_LEAST_MG]
    return _("Off the plan: %(lots)s.") % {"lots": listed(off)} if off else _("As it was planned.")


def line_words(line: PlanLine) -> str:
    """Return one lot of a blend beside its plan."""
    if not line.planned_mg:
        return _("%(mass)s of %(lot)s that was not planned") % {"mass": mass(line.poured_mg), "lot": line.lot.name}
    if not line.poured_mg:
        return _("none of %(lot)s") % {"lot": line.lot.name}
    words = {"mass": mass(abs(line.off_mg)), "lot": line.lot.name}
    return _("%(mass)s too much of %(lot)s") % words if line.off_mg > 0 else _("%(mass)s too little of %(lot)s") % words
