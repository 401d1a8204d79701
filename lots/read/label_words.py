"""Labels as the check of their words needs them, and the leaf in packs as claims are measured by."""

from __future__ import annotations

import re

from lots.models import Composition, HarvestFlush, LabelVersion, Origin, PackedUnit
from lots.quality.label_words import LabelWords, LeafShare, findings
from lots.read.downgrades import state_of
from lots.read.keeping_rule import rule_of
from lots.trade.language import Said

NOISE = 1e-9


def label_words(row: LabelVersion) -> LabelWords:
    """Return a label of the register."""
    claims = tuple(claim.strip().lower() for claim in re.split(r"[,;、，]", row.claims) if claim.strip())
    return LabelWords(
        row.name, row.ingredients, row.origin, row.origin_valley, row.origin_claim, row.net_mg, rule_of(row), row.storage, row.business,
        claims, checked=row.checked_by_id is not None,
    )


def leaf_of(step: int) -> list[LeafShare]:
    """Return what a step's leaf is made of by dry mass; what nobody knows stands as a share of its own."""
    held = Origin.objects.filter(pk=step).values("held_by")
    shares = [(h, s) for h, s in Composition.objects.filter(held_by__in=held).values_list("harvest_id", "share_frac") if h]
    rows = HarvestFlush.objects.select_related("plot", "cultivar").in_bulk([harvest for harvest, _share in shares])
    known = [
        LeafShare(share, row.plot.valley, row.plot.code, row.cultivar.name, state_of(step, [row.plot.state]))
        for harvest, share in shares if (row := rows.get(harvest)) is not None
    ]
    rest = 1.0 - sum(one.share_frac for one in known)
    return [*known, LeafShare(rest)] if rest > NOISE else known


def label_findings(row: LabelVersion, unit: PackedUnit | None = None) -> tuple[Said, ...]:
    """Return in what a label differs from its product, and from the leaf in the packs of a series where one is given."""
    product = unit.product if unit else row.product
    leaf = leaf_of(unit.step_id) if unit else []
    return findings(label_words(row), net_mg=product.net_mg, rule=rule_of(product), leaf=leaf)
