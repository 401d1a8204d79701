"""The desk in Japanese: titles in both languages, refusals and questions in the language of the hand, nothing left in English."""

from __future__ import annotations

import re
from decimal import Decimal

import pytest
from django.conf import settings
from django.test import Client
from django.utils.translation import override

from lots.desk.doors import DOORS
from lots.models import Step
from lots.record import milling
from lots.record.acts import Act
from lots.record.errors import Questioned, Refused
from lots.record.lines import find_lot
from tests import factories
from tests.desk.conftest import Hands, page, refused, typed

pytestmark = pytest.mark.django_db
FORMS = (
    "/leaf-in/", "/oven/", "/sorting/", "/stones/", "/stones/charge/", "/stones/tub/", "/stones/end/", "/stones/dressing/", "/sieve/",
    "/tins-and-bags/", "/going-out/", "/hold/", "/hold/stop/", "/hold/fetch-back/", "/stock-count/", "/clean-down/", "/field/",
    "/field/shading/", "/field/treatment/", "/registers/", "/registers/scale/", "/registers/scale/enter/", "/corrections/",
)


def in_japanese(client: Client) -> Client:
    client.cookies[settings.LANGUAGE_COOKIE_NAME] = "ja"
    return client


def titles(body: str) -> tuple[str, str]:
    """The title of a page, and the one under it."""
    found = re.search(r'<h1>(.*?)</h1><p class="other" lang="(?:en|ja)">(.*?)</p>', body)
    assert found is not None
    return found.group(1), found.group(2)


@pytest.mark.parametrize("url", FORMS)
def test_a_page_has_its_title_in_both_languages_and_they_are_one_title(hands: Hands, url: str) -> None:
    client = hands("administrator")
    there, under = titles(client.get(url).content.decode())
    japanese = in_japanese(client).get(url)
    assert 'lang="ja"' in japanese.content.decode()[:200]
    assert titles(japanese.content.decode()) == (under, there)
    assert re.search(r"[ぁ-んァ-ン一-龥]", under)


def test_every_door_has_the_words_of_the_catalogue() -> None:
    with override("ja"):
        assert [door.japanese for door in DOORS] == [str(door.english) for door in DOORS]
    assert len({door.japanese for door in DOORS}) == len(DOORS)


def test_a_refusal_stands_in_japanese_beside_what_was_typed(hands: Hands) -> None:
    said = refused(in_japanese(hands("clerk")), "/clean-down/", typed(equipment="NOWHERE", opened="yes"))
    assert "NOWHERE は機械の登録簿にない。先に書き入れるか、読み取り直す。" in said
    assert "register" not in said


def test_recorders_refuse_and_ask_in_the_language_of_the_hand(mill: None) -> None:
    leaf = factories.RefinedLeaf()
    charge = {"pair": "SP1", "lot": leaf.code, "charge": factories.kg("0.880")}
    with override("ja"), pytest.raises(Refused, match=r"^ロット R26-NONE は台帳にない。札を読み取り直すか、「ロット」の頁で探す。$"):
        find_lot("R26-NONE")
    with override("ja"), pytest.raises(Refused, match=r"^仕事が25字ある。入るのは24字。短く書く。$"):
        milling.load(Act("A"), **charge, job="J" * 25)
    milling.load(Act("A"), **charge, job="J1")
    tub = {"pair": "SP1", "powder": factories.kg("5.000"), "ground_h": Decimal(2)}
    with override("ja"), pytest.raises(Questioned, match=r"^2.00時間で 5.000 kg は 1時間に 2500 g。秤と時計を見直す。$"):
        milling.tub(Act("A"), **tub)
    with pytest.raises(Questioned, match=r"^5.000 kg in 2.00 hours is 2500 g an hour. Look at the scale and the clock again.$"):
        milling.tub(Act("A"), **tub)
    assert Step.objects.filter(part="tub").count() == 0


def test_the_page_of_a_wrong_address_is_in_both_languages(hands: Hands) -> None:
    client = hands("clerk")
    assert titles(client.get("/nowhere/").content.decode()) == ("No such page", "頁がない")
    assert titles(in_japanese(client).get("/nowhere/").content.decode()) == ("頁がない", "No such page")
    assert "この番地には何もない。" in page(client.get("/nowhere/"))
