from __future__ import annotations

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from lots.genealogy.composition import UNKNOWN, mix
from lots.genealogy.graph import GenealogyError
from lots.genealogy.shares import UNKNOWN_LABEL, Ground, Standing, by_label, claim_at_least, claim_single

CULTIVAR = {1: "Okuyutaka", 2: "Saemidori", 3: "Okuyutaka"}


def test_harvests_of_one_label_are_summed_and_the_unknown_stands_last() -> None:
    shares = by_label({UNKNOWN: 0.5, 1: 0.1, 2: 0.15, 3: 0.2, 4: 0.05}, CULTIVAR)
    assert shares == pytest.approx({"Okuyutaka": 0.3, "Saemidori": 0.15, UNKNOWN_LABEL: 0.55})
    assert list(shares) == ["Okuyutaka", "Saemidori", UNKNOWN_LABEL]
    assert list(by_label({2: 0.5, 1: 0.5}, CULTIVAR)) == ["Okuyutaka", "Saemidori"]


def test_a_single_cultivar_from_two_plots_holds_for_the_cultivar_and_not_for_the_plot() -> None:
    blend = mix([(3.0, {1: 1.0}), (7.0, {3: 1.0})])
    cultivar = claim_single(blend, CULTIVAR, 0.0)
    assert (cultivar.standing, cultivar.ground, cultivar.label) == (Standing.HOLDS, Ground.ENOUGH, "Okuyutaka")
    assert (cultivar.lower_frac, cultivar.upper_frac, cultivar.least_frac) == (1.0, 1.0, 1.0)
    plot = claim_single(blend, {1: "P5", 3: "P6"}, 0.0)
    assert (plot.standing, plot.ground, plot.label, plot.others) == (Standing.FAILS, Ground.OTHER, "P6", ("P5",))
    assert (plot.lower_frac, plot.upper_frac) == pytest.approx((0.7, 0.7))


def test_nearly_pure_is_not_pure_however_near() -> None:
    claim = claim_single({1: 1.0, 2: 0.0}, CULTIVAR, 0.0)
    assert claim.standing is Standing.FAILS
    assert claim.upper_frac < 1
    assert claim_single({1: 1.0, UNKNOWN: 1e-12}, CULTIVAR, 0.0).standing is Standing.NOT_DECIDABLE


def test_the_unknown_makes_a_claim_undecidable_within_its_bounds() -> None:
    # 9 kg of A known and 1 kg of an unknown cultivar: A lies between 0.9 and 1.
    claim = claim_single(mix([(9.0, {1: 1.0}), (1.0, {UNKNOWN: 1.0})]), CULTIVAR, 0.0)
    assert (claim.standing, claim.ground) == (Standing.NOT_DECIDABLE, Ground.UNKNOWN)
    assert (claim.lower_frac, claim.upper_frac, claim.unknown_frac) == pytest.approx((0.9, 1.0, 0.1))


def test_nothing_known_decides_nothing() -> None:
    claim = claim_single({UNKNOWN: 1.0}, {}, 0.0)
    assert (claim.standing, claim.label) == (Standing.NOT_DECIDABLE, UNKNOWN_LABEL)
    assert (claim.lower_frac, claim.upper_frac) == (0.0, 1.0)


def test_contact_lowers_the_bound_of_a_pure_lot() -> None:
    claim = claim_single({1: 1.0}, CULTIVAR, 0.0088)
    assert (claim.standing, claim.ground) == (Standing.NOT_DECIDABLE, Ground.CONTACT)
    assert (claim.lower_frac, claim.upper_frac, claim.touched_frac) == pytest.approx((0.9912, 1.0, 0.0088))


def test_contact_of_unknown_amount_leaves_nothing_certain() -> None:
    claim = claim_single({1: 1.0}, CULTIVAR, None)
    assert (claim.standing, claim.lower_frac, claim.touched_frac) == (Standing.NOT_DECIDABLE, 0.0, None)
    assert claim_single({1: 1.0}, CULTIVAR, 7.0).touched_frac == 1.0


def test_contact_with_the_same_label_does_no_harm() -> None:
    claim = claim_single({1: 1.0}, CULTIVAR, 0.3, touched_labels={"Okuyutaka"})
    assert (claim.standing, claim.touched_frac) == (Standing.HOLDS, 0.0)
    for labels in ({"Okuyutaka", "Saemidori"}, {UNKNOWN_LABEL}):
        assert claim_single({1: 1.0}, CULTIVAR, 0.3, touched_labels=labels).standing is Standing.NOT_DECIDABLE


def test_contact_cannot_mend_what_is_recorded() -> None:
    claim = claim_single({1: 0.5, 2: 0.5}, CULTIVAR, None)
    assert (claim.standing, claim.ground) == (Standing.FAILS, Ground.OTHER)


def test_at_least_a_share() -> None:
    blend = mix([(12.0, {1: 1.0}), (8.0, {2: 1.0})])
    assert claim_at_least(blend, CULTIVAR, "Okuyutaka", 0.6, 0.0).standing is Standing.HOLDS
    with_rework = mix([(18.5, blend), (1.5, {1: 0.3, 2: 0.7})])
    claim = claim_at_least(with_rework, CULTIVAR, "Okuyutaka", 0.6, 0.0)
    assert (claim.standing, claim.ground) == (Standing.FAILS, Ground.TOO_LITTLE)
    assert claim.lower_frac == pytest.approx(0.5775)


def test_at_least_a_share_with_contact_on_both_sides() -> None:
    blend = {1: 0.61, 2: 0.39}
    may_go_below = claim_at_least(blend, CULTIVAR, "Okuyutaka", 0.6, 0.05)
    assert (may_go_below.standing, may_go_below.ground) == (Standing.NOT_DECIDABLE, Ground.CONTACT)
    assert (may_go_below.lower_frac, may_go_below.upper_frac) == pytest.approx((0.61 * 0.95, 0.61 + 0.39 * 0.05))
    only_others = claim_at_least(blend, CULTIVAR, "Okuyutaka", 0.62, 0.05, touched_labels={"Saemidori"})
    assert (only_others.standing, only_others.upper_frac) == (Standing.FAILS, pytest.approx(0.61))
    still_enough = claim_at_least(blend, CULTIVAR, "Okuyutaka", 0.55, 0.05)
    assert still_enough.standing is Standing.HOLDS


def test_at_least_a_share_with_a_part_unknown() -> None:
    blend = {1: 0.5, 2: 0.3, UNKNOWN: 0.2}
    assert claim_at_least(blend, CULTIVAR, "Okuyutaka", 0.6, 0.0).ground is Ground.UNKNOWN
    assert claim_at_least(blend, CULTIVAR, "Okuyutaka", 0.5, 0.0).standing is Standing.HOLDS
    assert claim_at_least(blend, CULTIVAR, "Okuyutaka", 0.75, 0.0).standing is Standing.FAILS


def test_all_of_it_is_a_matter_of_presence() -> None:
    state = {1: "organic", 2: "conventional", 3: "organic"}
    assert claim_at_least({1: 0.4, 3: 0.6}, state, "organic", 1.0, 0.0).standing is Standing.HOLDS
    assert claim_at_least({1: 1.0, 2: 1e-14}, state, "organic", 1.0, 0.0).standing is Standing.FAILS
    assert claim_at_least({2: 1.0}, state, "organic", 1.0, 0.0).standing is Standing.FAILS


@given(
    st.lists(st.tuples(st.integers(1, 50), st.sampled_from([0, 1, 2, 3])), min_size=1, max_size=8),
    st.integers(0, 20),
    st.sampled_from([UNKNOWN, 1, 2, 3]),
    st.floats(0, 1),
)
def test_the_bounds_hold_whatever_the_unknown_and_the_contact_were(
    parts: list[tuple[int, int]], carried: int, came_over: int, least: float
) -> None:
    """Make the truth: some of the lot is replaced by leaf of another label, the unknown gets any label."""
    recorded = mix([(mass, {key: 1.0}) for mass, key in parts])
    total = sum(mass for mass, _ in parts)
    bound = min(carried / total, 1.0)
    claim = claim_at_least(recorded, CULTIVAR, "Okuyutaka", least, bound)
    for unknown_is in ("Okuyutaka", "Saemidori"):
        label_of = {**CULTIVAR, UNKNOWN: unknown_is}
        truth = math.fsum(share for key, share in recorded.items() if label_of[key] == "Okuyutaka")
        truth = truth * (1 - bound) + bound * (label_of[came_over] == "Okuyutaka")
        assert claim.lower_frac - 1e-12 <= truth <= claim.upper_frac + 1e-12
        if claim.standing is Standing.HOLDS:
            assert truth >= least - 1e-9
        if claim.standing is Standing.FAILS:
            assert truth < least + 1e-9


def test_claims_that_say_nothing_are_refused() -> None:
    with pytest.raises(GenealogyError, match="names nothing"):
        claim_at_least({1: 1.0}, CULTIVAR, "", 0.5, 0.0)
    with pytest.raises(GenealogyError, match="between 0 and 1"):
        claim_at_least({1: 1.0}, CULTIVAR, "Okuyutaka", 1.5, 0.0)
    with pytest.raises(GenealogyError, match="below zero"):
        claim_single({1: 1.0}, CULTIVAR, -0.1)
    with pytest.raises(GenealogyError, match="instead of 1"):
        claim_single({1: 0.8}, CULTIVAR, 0.0)
