"""A lot that was sampled, tested, tasted, complained of, and decided on by one of two persons; through the recorders."""

from __future__ import annotations

from lots.models import Lot
from lots.record import complaining, releasing, sampling, tasting
from lots.record.acts import Act
from tests import factories as make
from tests.record.labs import laboratory, named, report

MARKS = {"aroma": 4, "taste": 5, "colour": 5, "body": 3, "foam": 4}


def judge(lot: Lot) -> int:
    """Judge a lot of which a tenth of a kilogram can be spared; return the step of the decision, which waits for a second person."""
    laboratory()
    make.enter("release_rule", "EU", two_persons=True, consignees="B9")
    at = make.next_moment
    sampling.take(
        Act("A"), lot=lot.code, sample_no="A-1", method="ISO 1839", mass=make.kg("0.100"), taker="Mio Mori", seal_no="0815", laboratory="L1",
        happened_at=at(),
    )
    report(lot, "9", u_expanded=make.Decimal("2"), loq=make.Decimal("0.5"), accreditation="ISO/IEC 17025", report_no="R-7")
    report(lot, None, parameter="perchlorate", unit="mg/kg", loq=make.Decimal("1"))
    tasting.note(
        Act("C"), lot=lot.code, taster="C", tasted_on=make.today(), marks=MARKS, blind=True, aroma="young leaf", taste="sweet", happened_at=at(),
    )
    complaining.take(
        Act("B"), lot=lot.code, received_on=make.today(), what="Bitter", seriousness="minor", contact="Haru Mori", done="Talked to",
        happened_at=at(),
    )
    asked = {"lot": lot.code, "markets": ("EU",), "ground": "Within the limits", "results": named(lot)}
    return int(releasing.release(Act("C"), **asked, happened_at=at()).step or 0)
