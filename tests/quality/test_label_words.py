"""Words of labels against the facts: each difference is a sentence, and an honest label has none."""

from __future__ import annotations

from dataclasses import replace

import pytest

from lots.quality.label_words import LabelWords, LeafShare, findings, unknown_claims
from lots.trade.best_before import BestBefore

RULE = BestBefore(0, 6, "packing", "month")
LABEL = LabelWords("Powdered green tea", "green tea", "Small valley", "Small valley", "whole", 30_000, RULE, "cool and dark",
                   "Small mill, 1 Mill lane", ("organic", "single cultivar", "single plot"), checked=True)
LEAF = LeafShare(1.0, "Small valley", "Lantern Terrace", "Saemidori", "organic")


def said(label: LabelWords, *leaf: LeafShare, net_mg: int = 30_000, rule: BestBefore = RULE) -> str:
    return " ".join(findings(label, net_mg=net_mg, rule=rule, leaf=leaf))


def test_an_honest_label_has_no_finding() -> None:
    assert findings(LABEL, net_mg=30_000, rule=RULE, leaf=[LEAF]) == ()


@pytest.mark.parametrize("name", ["name", "ingredients", "origin", "storage", "business"])
def test_a_word_that_is_missing_is_named(name: str) -> None:
    assert said(replace(LABEL, **{name: " "})).startswith("The label does not say")


def test_net_content_rule_and_signature() -> None:
    assert "says 30.0\u00a0g net, the product holds 40.0\u00a0g" in said(LABEL, net_mg=40_000)
    assert "another best-before rule (6 months from packing" in said(LABEL, rule=BestBefore(180))
    assert "more than three months" in said(replace(LABEL, rule=BestBefore(0, 3, form="month")), rule=BestBefore(0, 3, form="month"))
    assert "Nobody is named" in said(replace(LABEL, checked=False))


# Trade standard of March 2019, as a prefecture's page gives it: 100 % alone, from 50 % on as a blend.
@pytest.mark.parametrize(("claim", "share", "fault"), [
    ("whole", 1.0, ""), ("whole", 0.999, "all of it must be"), ("whole", 0.5, "all of it must be"),
    ("blend", 0.5, ""), ("blend", 0.499, "half of it must be"), ("blend", 1.0, ""),
])
def test_a_place_is_named_for_all_of_the_leaf_or_as_a_blend_from_half_on(claim: str, share: float, fault: str) -> None:
    label = replace(LABEL, origin_claim=claim, claims=())
    leaf = [replace(LEAF, share_frac=share), LeafShare(1 - share)]
    found = findings(label, net_mg=30_000, rule=RULE, leaf=leaf)
    assert [fault in one for one in found] == ([True] if fault else [])


def test_leaf_that_nobody_knows_bears_no_claim() -> None:
    found = said(LABEL, replace(LEAF, share_frac=0.9), LeafShare(0.1))
    assert all(part in found for part in ("90.0\u00a0% of the leaf is from plots certified organic", "more than one is in the packs", "leaf of more than one"))


def test_a_place_and_how_it_is_named_go_together() -> None:
    assert "or the other way round" in said(replace(LABEL, origin_claim="none"))
    assert "or the other way round" in said(replace(LABEL, origin_valley=""))


def test_organic_in_the_words_must_be_meant() -> None:
    assert "not among the claims" in said(replace(LABEL, name="有機抹茶", claims=()))


def test_other_claims_are_left_to_whoever_signs() -> None:
    assert unknown_claims(replace(LABEL, claims=("organic", "first flush of the emperor"))) == ("first flush of the emperor",)


def test_every_finding_is_said_in_both_languages() -> None:
    bad = replace(LABEL, name="", net_mg=1, checked=False)
    assert all(one.text("ja") != one.text("en") for one in findings(bad, net_mg=30_000, rule=BestBefore(180), leaf=[LeafShare(1.0)]))
