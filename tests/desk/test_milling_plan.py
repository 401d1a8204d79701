"""Can it be promised: an order on the stones, as the page says it."""

from __future__ import annotations

import re

from tests.desk.conftest import Hands, page
from tests.factories import mill


def test_before_anything_was_milled_nothing_is_said_about_hours(hands: Hands) -> None:
    said = page(hands("clerk").get("/stones/plan/", {"order_mg": "5"}))
    assert "No stone pair has given a tub yet" in said


def test_an_order_is_worked_out_from_the_pairs_own_rates(hands: Hands) -> None:
    mill(tub_count=3)
    answer = hands("auditor").get("/stones/plan/", {"order_mg": "5"})
    said = page(answer)
    assert re.search(r"5(\.0+)? kg of powder on one pair, round the clock, is ground by", said)
    assert "between" in said
    assert "Left out, no tub since the dressing" in said
    assert "none on the way" in said


def test_what_cannot_be_read_stays_and_is_answered(hands: Hands) -> None:
    mill(tub_count=2)
    answer = hands("clerk").get("/stones/plan/", {"order_mg": "a lot"})
    assert 'value="a lot"' in answer.content.decode()
    assert 'class="fault"' in answer.content.decode()


def test_the_stones_lead_to_it(hands: Hands) -> None:
    assert 'href="/stones/plan/"' in hands("clerk").get("/stones/").content.decode()
