"""No dry mass comes or goes by combining, blending and taking out: whatever is poured, left, spilt or lowered."""

from __future__ import annotations

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from lots.models import Flow, Lot
from lots.read.sourcing import book_masses
from lots.read.verifying import verify_book
from lots.record.blending import Mixed, Poured
from lots.record.lines import Weight
from lots.record.removing import Taken
from tests import factories as make
from tests.house import BlendedLeaf, Combined, Lowered, Spilt, book_mg, two_plots

pytestmark = pytest.mark.usefixtures("mill")
GRAMS = st.integers(200, 1_500)


def dry_mg(flow: Flow) -> float:
    return flow.mass_mg * (1 - float(flow.moisture_frac or 0))


def dry_of(lots: list[Lot]) -> float:
    """The dry mass that the book has of lots."""
    return sum(make.dry_mg(lot) for lot in lots)


@settings(max_examples=3, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(one_g=GRAMS, two_g=GRAMS, left_g=st.integers(0, 50), spilt_g=st.integers(1, 100), lowered_g=st.integers(1, 100))
def test_dry_mass_stays(one_g: int, two_g: int, left_g: int, spilt_g: int, lowered_g: int) -> None:
    lots = two_plots()
    before = dry_of(lots)
    poured = [Poured(lot.code, Weight(grams * 1_000, "S3")) for lot, grams in zip(lots, (one_g, two_g), strict=True)]
    blended_mg, left_mg = (one_g + two_g - left_g) * 1_000, left_g * 1_000
    blend = BlendedLeaf(poured=poured, mixed=Mixed(Weight(blended_mg, "S3"), Weight(left_mg, "S3") if left_mg else None))
    together = Combined(lots=[*lots, blend], together=Weight(sum(book_mg(lot) for lot in (*lots, blend)), "S2"))
    spilt = Spilt(taken=Taken(together.code, Weight(spilt_g * 1_000, "S3")))
    lowered = Lowered(taken=Taken(together.code, Weight(lowered_g * 1_000, "S3")), state="", grade="Second")
    rest = [together, lowered, *Lot.objects.filter(step=blend.step_id, material="left_over")]
    gone = sum(dry_mg(flow) for flow in Flow.objects.filter(step=spilt, kind=Flow.Kind.LOST))
    assert dry_of(rest) + gone == pytest.approx(before, rel=3e-5)
    assert {book_masses()[lot.pk] for lot in (*lots, blend)} == {0}
    assert verify_book() == []
