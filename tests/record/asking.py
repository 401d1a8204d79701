"""Words that the tests of recorders share: an entry that is asked about once, one that is refused, what stands in the book."""

from __future__ import annotations

import re
from collections.abc import Callable
from dataclasses import replace
from decimal import Decimal
from typing import Any

import pytest
from django.db import connection

from lots.models import BOOK, DERIVED, ActKey, Flow, JournalHead, Lot, PackSecret, PrivateValue, Step, Stock
from lots.record import correcting
from lots.record.acts import Act, Receipt
from lots.record.errors import Questioned, Refused
from tests import factories as make

Recorder = Callable[..., Receipt]
REASON = "Weighed again, the same figure"
TABLES = (*BOOK, *DERIVED, ActKey, PrivateValue, PackSecret)


def standing() -> tuple[Any, ...]:
    """How many rows stand in every table, where the head is, and what the stock comes to: equal before and after nothing."""
    counts = " UNION ALL ".join(f"SELECT '{m._meta.db_table}', COUNT(*) FROM {m._meta.db_table}" for m in TABLES)
    with connection.cursor() as cursor:
        cursor.execute(counts)
        rows = sorted(cursor.fetchall())
    head = JournalHead.objects.values_list("size", "frontier", "next_ids").get()
    stock = list(Stock.objects.order_by("pk").values_list("lot_id", "book_mg", "emptied"))
    return rows, (head[0], bytes(head[1]), head[2]), stock


def derived() -> dict[str, list[tuple[object, ...]]]:
    """All derived rows by table, without the numbers that the engine gives out."""
    found = {}
    for model in DERIVED:
        names = [f.attname for f in model._meta.concrete_fields if f.attname != "id"]
        rows = model._default_manager.values_list(*names)
        found[model._meta.db_table] = sorted((tuple(round(v, 9) if isinstance(v, float) else v for v in row) for row in rows), key=repr)
    return found


def expect_refusal(recorder: Recorder, match: str, *, badge: str = "A", why: str = "", **asked: Any) -> Refused:
    """The recorder expect_refusal, and nothing is written."""
    before = standing()
    with pytest.raises(Refused, match=match) as caught:
        recorder(Act(badge, reason=why), **asked)
    assert standing() == before
    return caught.value


def expect_question(recorder: Recorder, match: str, *, badge: str = "A", **asked: Any) -> Receipt:
    """The recorder asks and writes nothing; the same act with a reason is taken, and its step is marked with the question."""
    act, before = Act(badge), standing()
    with pytest.raises(Questioned, match=match):
        recorder(act, **asked)
    assert standing() == before
    receipt = recorder(replace(act, reason=REASON), **asked)
    step = Step.objects.get(pk=receipt.step)
    assert re.search(match, step.questioned)
    assert (step.reason, receipt.repeated) == (REASON, False)
    return receipt


def book_mg(lot: Lot) -> int:
    """What the book has left of a lot."""
    return Stock.objects.get(lot=lot).book_mg


def lot_of(receipt: Receipt, place: int = 0) -> Lot:
    """A lot that an act opened."""
    return Lot.objects.get(code=receipt.lots[place])


def line(step: Step | int, lot: Lot | None = None, kind: str = Flow.Kind.OUT) -> Flow:
    """One line of a step."""
    rows = Flow.objects.filter(step=step, kind=kind)
    return rows.get(lot=lot) if lot is not None else rows.get()


def correct(step: Step | int, lot: Lot, mass_kg: str, kind: str = Flow.Kind.OUT) -> Receipt:
    """Correct the weighing of a lot in a step."""
    found = line(step, lot, kind)
    act = Act("A", reason="The ticket was read wrongly")
    number = found.step_id
    return correcting.adjust(act, step=number, masses_mg={found.pk: int(Decimal(mass_kg) * 1_000_000)}, happened_at=make.next_moment())


def take_back(step: Step | int) -> Receipt:
    """Take a step back."""
    number = step if isinstance(step, int) else step.pk
    return correcting.reverse(Act("A", reason="It did not happen"), step=number, happened_at=make.next_moment())
