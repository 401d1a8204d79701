"""How many questions each recording page asks of the book: as many in a full house as in an empty one."""

from __future__ import annotations

import pytest
from django.db import connection
from django.test import Client
from django.test.utils import CaptureQueriesContext

from lots.models import Lot
from tests import factories
from tests.desk.conftest import Hands

pytestmark = pytest.mark.django_db
#: What stands on every page (who is there, with which roles, the house, the last entry) takes six.
MOST = {
    "/leaf-in/": 16, "/oven/": 16, "/sorting/": 16, "/stones/": 18, "/stones/charge/": 26, "/stones/tub/": 18, "/stones/end/": 16,
    "/stones/dressing/": 8, "/clean-down/": 14, "/sieve/": 18, "/tins-and-bags/": 20, "/going-out/": 18, "/stock-count/": 14, "/field/": 12,
    "/field/shading/": 14, "/field/treatment/": 14, "/hold/": 10, "/hold/stop/": 8, "/hold/fetch-back/": 8, "/registers/": 22,
    "/registers/scale/": 12, "/registers/field_plot/": 14, "/registers/scale/enter/": 10, "/registers/field_plot/enter/P1/": 16,
    "/corrections/": 12,
}


def asked(client: Client, url: str) -> int:
    with CaptureQueriesContext(connection) as seen:
        assert client.get(url).status_code == 200
    return len(seen)


@pytest.fixture
def keeper(hands: Hands) -> Client:
    client = hands("administrator")
    client.get("/stones/")
    return client


def season() -> None:
    """Two jobs, each from its plot to a buyer, and one that is on the stones."""
    factories.chain(job="J1")
    factories.Cleaned()
    factories.chain(plot="P2", pair="SP2", job="J2")
    leaf = factories.RefinedLeaf()
    for pair in ("SP1", "SP2"):
        factories.Load(pair=pair, lot=leaf, job="J3")
        factories.Tub(pair=pair)
        factories.Load(pair=pair, lot=leaf, job="J3")
    factories.Held(lot=Lot.objects.filter(material="stem")[0])
    factories.Counted(lot=factories.CrudeLeaf())
    factories.Covered()
    factories.Treated()


def test_no_page_asks_much(keeper: Client) -> None:
    season()
    found = {url: asked(keeper, url) for url in MOST}
    assert {url: count for url, count in found.items() if count > MOST[url]} == {}


def test_pages_do_not_ask_more_when_the_book_is_fuller(keeper: Client) -> None:
    season()
    before = {url: asked(keeper, url) for url in MOST}
    for number in range(2):
        crude = factories.CrudeLeaf(lot=factories.FreshLeaf(plot="P3"))
        factories.Held(lot=factories.FreshLeaf(plot="P3"))
        factories.Covered(plot="P2")
        factories.enter("party", f"G{number + 5}", name=f"Grower {number}", roles="grower")
        factories.Sieved(lots=factories.mill(factories.RefinedLeaf(lot=crude), pair=one_more_pair(number), job=f"J{number + 7}").tubs)
    after = {url: asked(keeper, url) for url in MOST}
    assert {url: (before[url], after[url]) for url in MOST if after[url] > before[url] + 1} == {}


def one_more_pair(number: int) -> str:
    """A pair of its own for each further job."""
    code = f"SP{number + 5}"
    factories.enter("equipment", code, kind="stone_pair", name=f"Stone pair {number + 5}")
    factories.enter("stone_pair", code, equipment=code, upper=f"U{number}", lower=f"L{number}", dressed_h=factories.Decimal(0))
    return code
