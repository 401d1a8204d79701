"""Codes of cases and orders: the form of a lot code, told apart by their letter; a worn sign is noticed."""

from __future__ import annotations

import pytest

from lots.codes.lots import new_lot_code, parse_lot_code
from lots.codes.sale import CASE_LETTER, ORDER_LETTER, parse_case_code, parse_order_code
from lots.trade.materials import MATERIALS


def test_cases_and_orders_are_told_apart_from_each_other_and_from_lots() -> None:
    case, order, lot = (new_lot_code(letter, 2026, 77) for letter in (CASE_LETTER, ORDER_LETTER, "K"))
    assert (parse_case_code(f"{case[:3]}-{case[3:].lower()}"), parse_case_code(order), parse_case_code(lot)) == (case, None, None)
    assert (parse_order_code(order), parse_order_code(case), parse_order_code("PO 77")) == (order, None, None)


def test_no_material_has_their_letters() -> None:
    assert {CASE_LETTER, ORDER_LETTER} & {material.letter for material in MATERIALS.values()} == set()


@pytest.mark.parametrize("place", range(3, 9))
def test_a_worn_sign_is_noticed(place: int) -> None:
    code = new_lot_code(CASE_LETTER, 2026, 77)
    worn = code[:place] + ("7" if code[place] != "7" else "8") + code[place + 1 :]
    assert (parse_case_code(worn), parse_lot_code(worn)) == (None, None)
