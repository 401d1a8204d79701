"""A plot in the register: its outline is read and measured before it stands."""

from __future__ import annotations

import json
from decimal import Decimal

import pytest

from lots.models import FieldPlot, JournalEntry, PlotNeighbour
from lots.read.names import opened
from lots.read.verifying import verify_book
from lots.record import registers
from lots.record.acts import Act
from lots.record.errors import Questioned, Refused
from tests import factories as make
from tests.record.asking import REASON

pytestmark = pytest.mark.usefixtures("mill")
# About 30 m by 30 m: 9 a.
NINE_ARES = "35.0100, 135.7600\n35.0100, 135.76033\n35.01027, 135.76033\n35.01027, 135.7600"


def entered(reason: str = "", **fields: object) -> FieldPlot:
    asked = {"name": "Lantern Terrace", "area_a": Decimal("9.00")} | fields
    registers.enter(Act("F", reason=reason), table="field_plot", code="P1", fields=asked)
    return FieldPlot.objects.filter(code="P1").order_by("-version")[0]


def test_an_outline_is_kept_sealed_and_in_one_form() -> None:
    row = entered(outline=NINE_ARES.replace(",", " ") + "\n35.0100 135.7600\n", aspect="SE", slope_frac=Decimal("0.12"), cover="trellis")
    assert opened([row.outline])[row.outline].splitlines()[0] == "35.01, 135.76"
    assert len(opened([row.outline])[row.outline].splitlines()) == 4
    body = bytes(JournalEntry.objects.order_by("-seq")[0].body)
    assert b"135.76" not in body
    assert json.loads(body)["act"]["rows"]["field_plot"][0]["aspect"] == "SE"
    assert verify_book() == []


def test_one_pair_is_a_point() -> None:
    row = entered(outline="35.0112, 135.7681")
    assert opened([row.outline])[row.outline] == "35.0112, 135.7681"


@pytest.mark.parametrize(("outline", "match"), [
    ("north of the shrine", "Line 1 is no pair"),
    ("35, 135\n35.1, 135", "at least three corners"),
    ("35.000, 135.000\n35.001, 135.001\n35.001, 135.000\n35.000, 135.001", "crosses the side"),
])
def test_what_is_no_outline_is_refused_at_its_field(outline: str, match: str) -> None:
    with pytest.raises(Refused, match=match) as caught:
        entered(outline=outline)
    assert caught.value.field == "outline"
    assert FieldPlot.objects.filter(code="P1").count() == 1


def test_an_area_far_off_the_outline_is_asked_about_once_for_each_pair_of_them() -> None:
    with pytest.raises(Questioned, match=r"encloses 9\.\d a, and 90\.0 a is typed"):
        entered(outline=NINE_ARES, area_a=Decimal("90.00"))
    first = entered(REASON, outline=NINE_ARES, area_a=Decimal("90.00"))
    assert entered(outline=NINE_ARES, area_a=Decimal("90.00"), name="Lantern").version == first.version + 1
    with pytest.raises(Questioned, match="is typed"):
        entered(outline=NINE_ARES, area_a=Decimal("80.00"))
    assert verify_book() == []


def test_an_area_that_goes_with_the_outline_asks_nothing() -> None:
    assert entered(outline=NINE_ARES).area_a == 9


def test_neighbours_are_named_with_side_and_distance() -> None:
    make.enter("plot_neighbour", "N1", plot="P1", side="NE", distance_m=4, grows="rice", kept_apart="hedge", buffer_m=3)
    row = PlotNeighbour.objects.get()
    assert (row.plot.code, row.side, row.distance_m, row.buffer_m) == ("P1", "NE", 4, 3)
    with pytest.raises(Refused, match="is one of"):
        make.enter("plot_neighbour", "N2", plot="P1", side="UP", distance_m=4, grows="rice")
    assert verify_book() == []
