"""Tags and filters: words beside marks, figures with units, days with weekdays, codes that do not break."""

from __future__ import annotations

import datetime as dt
from types import SimpleNamespace
from typing import Any

import pytest
from django.template import engines
from django.utils import translation

from lots.codes.lots import new_lot_code, print_form
from lots.codes.packs import pack_code
from lots.genealogy.shares import Standing
from lots.trade.weighing import Verdict

LOT = new_lot_code("R", 2026, 1)
PACK = pack_code(7, 11, b"s" * 32)  # the same in every process: test ids are made of it
NBSP = "\u00a0"


def said(code: str, **context: Any) -> str:
    return str(engines["django"].from_string("{% load ledger %}" + code).render(context))


@pytest.mark.parametrize(("verdict", "word", "japanese", "mark"), [
    (Verdict.ADDS_UP, "adds up", "合う", "v-closed"), (Verdict.LOOK, "look", "見る", "v-look"),
    (Verdict.STOP, "stop", "止める", "v-stop"), (Verdict.CANNOT, "cannot be judged", "判定できず", "v-none"),
    (Standing.HOLDS, "holds", "示せる", "v-closed"), (Standing.FAILS, "fails", "当たらない", "v-stop"),
    (Standing.NOT_DECIDABLE, "cannot be shown", "示せず", "v-none"), ("to be looked at", "to be looked at", "確かめる", "v-look"),
])
def test_a_verdict_is_a_mark_and_a_word(verdict: Any, word: str, japanese: str, mark: str) -> None:
    english = said("{% verdict v %}", v=verdict)
    assert f'class="v {mark}"' in english
    assert 'aria-hidden="true"' in english
    assert f"<b>{word}</b>" in english
    with translation.override("ja"):
        assert f"<b>{japanese}</b>" in said("{% verdict v %}", v=verdict)


def test_no_verdict_is_no_mark() -> None:
    assert said("{% verdict v %}", v=None) == ""
    with pytest.raises(ValueError, match="perhaps"):
        said("{% verdict v %}", v="perhaps")


def test_a_headline_has_words_of_its_own_and_they_are_no_markup() -> None:
    line = said("{% verdict_line v words %}", v=Verdict.STOP, words="Stop: <2.7 kg>")
    assert line.startswith('<p class="verdict v-stop"><svg')
    assert "<b>Stop: &lt;2.7 kg&gt;</b>" in line
    assert "<b>stop</b>" in said("{% verdict_line v %}", v=Verdict.STOP)


@pytest.mark.parametrize(("code", "value", "words"), [
    ("{{ v|kg:2 }}", 41_830_000, f"41.83{NBSP}kg"), ("{{ v|kg }}", 41_830_000, f"41.83{NBSP}kg"),
    ("{{ v|signed_kg:2 }}", -2_621_000, f"−2.62{NBSP}kg"), ("{{ v|signed_kg:1 }}", 2_381_000, f"+2.4{NBSP}kg"),
    ("{{ v|kg_figure:1 }}", 1_046_440_000, "1,046.4"), ("{{ v|signed_kg_figure:2 }}", -40_000, "−0.04"),
    ("{{ v|g:0 }}", 895_400, f"895{NBSP}g"), ("{{ v|percent:1 }}", 0.749, f"74.9{NBSP}%"), ("{{ v|percent }}", 1, f"100{NBSP}%"),
    ("{{ v|count }}", 1141, "1,141"), ("{{ v|figure:1 }}", -40.44, "−40.4"),
])
def test_figures_have_their_unit_and_a_true_minus(code: str, value: float, words: str) -> None:
    assert said(code, v=value) == words


@pytest.mark.parametrize("name", ["kg", "signed_kg", "kg_figure", "signed_kg_figure", "g", "percent", "count", "figure", "day", "short_day",
                                  "moment", "clock"])
def test_what_is_not_there_prints_nothing(name: str) -> None:
    assert said("{{ v|" + name + " }}", v=None) == ""


def test_days_carry_their_weekday_and_moments_the_time_of_the_mill() -> None:
    at = dt.datetime(2026, 7, 13, 23, 10, tzinfo=dt.UTC)
    assert said("{{ v|day }}", v=dt.date(2026, 7, 14)) == '<time class="num" datetime="2026-07-14">2026-07-14 (Tue)</time>'
    assert ">2026-07-14 (Tue)<" in said("{{ v|day }}", v=at)
    assert ">07-14 Tue<" in said("{{ v|short_day }}", v=at)
    assert said("{{ v|moment }}", v=at) == '<time class="num" datetime="2026-07-14T08:10:00+09:00">2026-07-14 (Tue) 08:10</time>'
    assert ">08:10<" in said("{{ v|clock }}", v=at)
    with translation.override("ja"):
        assert ">2026-07-14（火）08:10<" in said("{{ v|moment }}", v=at)


@pytest.mark.parametrize(("thing", "words"), [
    (LOT, print_form(LOT)), (SimpleNamespace(code=LOT), print_form(LOT)), (SimpleNamespace(printed="K26-02"), "K26-02"),
    ("R26-LM1", "R26-LM1"), (PACK, "-".join(PACK[i:i + 5] for i in range(0, 20, 5))), ("<b>", "&lt;b&gt;"),
])
def test_a_code_is_printed_as_people_read_it(thing: Any, words: str) -> None:
    assert said("{% code v %}", v=thing) == f'<b class="code" translate="no">{words}</b>'


@pytest.mark.parametrize(("went_in", "came_out", "lengths"), [(855, 849, "(1000, 993)"), (0, 5, "(0, 1000)"), (0, 0, "(0, 0)"), (10, -1, "(1000, 0)")])
def test_lengths_share_one_scale(went_in: float, came_out: float, lengths: str) -> None:
    assert said("{% lengths a b as c %}{{ c }}", a=went_in, b=came_out) == lengths


def test_a_lead_is_a_paragraph_only_where_something_is_said() -> None:
    assert said("{% lead %} {{ v }} {% endlead %}", v="<2 kg>") == '<p class="lead">&lt;2 kg&gt;</p>'
    assert said("{% lead %}  {% endlead %}") == ""


def test_the_same_title_in_the_other_language() -> None:
    house = SimpleNamespace(other_door_title="石臼")
    assert said("{% other_title %}", house=house) == "石臼"
    assert said("{% other_title %}") == ""
    assert said('{% other_title "No title that a catalogue has" %}') == ""
