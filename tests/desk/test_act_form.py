"""The form of one act: its id, its question, where the pen goes, and what stays."""

from __future__ import annotations

import re
import uuid
from typing import Any

import pytest
from django.http import QueryDict
from django.template.loader import render_to_string

from lots.desk.forms.base import ActForm, whole_id
from lots.desk.forms.fields import ChoiceStrip, MassField, MomentField, ScanField
from lots.record.errors import Questioned, Refused

ID = "5f0c6a52-63a6-4c2e-9a57-0d8f2f1f5c11"


class TubForm(ActForm):
    main_act = "Take the tub off"
    pair = ScanField(label="Scan the tag")
    tub_mg = MassField(label="Powder in the tub", places=3, capacity=2000)
    taken_off_at = MomentField(label="When")
    hopper = ChoiceStrip(label="The hopper", choices=[("on", "runs on"), ("dry", "ran dry")])


def sent(**typed: str) -> QueryDict:
    anchor = TubForm()["taken_off_at"].value().anchor
    data = {"act_id": ID, "pair": "SP4", "tub_mg": "0.888", "hopper": "on", "taken_off_at": "now", "taken_off_at_anchor": anchor}
    posted = QueryDict(mutable=True)
    posted.update(data | typed)
    return posted


def drawn(form: ActForm) -> str:
    return render_to_string("parts/act_form.html", {"form": form})


def value_of(page: str, name: str) -> str:
    found = re.search(rf'name="{name}"[^>]* value="([^"]*)"', page)
    return found.group(1) if found else ""


def pen(page: str) -> list[str]:
    return re.findall(r'name="(\w+)"[^>]* autofocus', page)


def test_an_id_is_made_when_the_form_is_first_shown() -> None:
    first, second = value_of(drawn(TubForm()), "act_id"), value_of(drawn(TubForm()), "act_id")
    assert uuid.UUID(first).version == uuid.UUID(second).version == 4
    assert first != second


def test_the_id_is_kept_through_errors_and_so_is_what_was_typed() -> None:
    page = drawn(TubForm(sent(tub_mg="4l.83")))
    assert value_of(page, "act_id") == ID
    assert (value_of(page, "tub_mg"), value_of(page, "pair")) == ("4l.83", "SP4")
    assert re.search(r'value="on" checked', page)


@pytest.mark.parametrize("lost", ["", "words", str(uuid.UUID(ID, version=1))])
def test_a_form_without_its_id_gets_a_new_one_and_is_sent_again(lost: str) -> None:
    form = TubForm(sent(act_id=lost))
    assert not form.is_valid()
    assert "number of its entry" in form.non_field_errors()[0]
    assert whole_id(value_of(drawn(form), "act_id"))


def test_the_facts_of_a_good_form() -> None:
    form = TubForm(sent())
    assert form.is_valid()
    assert (form.act_id, form.facts["tub_mg"], form.facts["pair"].code) == (uuid.UUID(ID), 888_000, "SP4")
    assert set(form.facts) == {"pair", "tub_mg", "taken_off_at", "hopper"}


def test_a_weight_is_never_filled_in_beforehand() -> None:
    with pytest.raises(ValueError, match="tub_mg"):
        TubForm(initial={"tub_mg": 888_000})


def test_the_pen_goes_to_the_first_line_and_after_errors_to_the_first_faulty_one() -> None:
    assert pen(drawn(TubForm())) == ["pair"]
    page = drawn(TubForm(sent(tub_mg="", hopper="")))
    assert pen(page) == ["tub_mg"]
    assert "One more line below needs a hand." in page
    assert "more lines" not in drawn(TubForm(sent(tub_mg="")))


def test_a_line_that_a_link_filled_is_passed_over() -> None:
    page = drawn(TubForm(initial={"pair": "SP4"}))
    assert value_of(page, "pair") == "SP4"
    assert pen(page) == ["tub_mg"]


def test_the_pen_finds_a_strip_too() -> None:
    page = drawn(TubForm(sent(hopper="")))
    assert pen(page) == ["hopper"]
    assert page.count("autofocus") == 1


def test_a_fault_is_tied_to_its_line() -> None:
    page = drawn(TubForm(sent(tub_mg="")))
    field = re.search(r'<input[^>]*name="tub_mg"[^>]*>', page)
    assert field
    assert 'aria-invalid="true"' in field.group(0)
    assert "id_tub_mg_error" in field.group(0)
    assert '<p class="fault" id="id_tub_mg_error">' in page


def test_an_ambiguous_figure_is_asked_about_beside_it_and_the_answer_is_kept() -> None:
    page = drawn(TubForm(sent(tub_mg="1,234")))
    assert 'type="radio" name="tub_mg_meant" value="1.234"' in page
    answered = TubForm(sent(tub_mg="1,234", tub_mg_meant="1.234", hopper=""))
    assert 'type="hidden" name="tub_mg_meant" value="1.234"' in drawn(answered)
    assert answered.cleaned_data["tub_mg"] == 1_234_000


def test_last_time_stands_beside_and_not_in_the_line() -> None:
    form = TubForm()
    form.last_time("tub_mg", 895_000)
    page = drawn(form)
    assert "Last time 0.895." in page
    assert value_of(page, "tub_mg") == ""


def test_the_scale_of_the_page_decides_the_decimals() -> None:
    form = TubForm(sent(tub_mg="0.888"))
    form.scale_places("tub_mg", 2, 30)
    assert not form.is_valid()
    assert "2 decimals" in form.errors["tub_mg"][0]
    with pytest.raises(TypeError):
        form.scale_places("pair", 2)


# Questions -----------------------------------------------------------------------------------------------------------


def asked(**typed: str) -> TubForm:
    form = TubForm(sent(**typed))
    assert form.is_valid()
    form.heed(Questioned("Pair 4 never gave so much. Was it 0.888 kg?"))
    return form


def test_a_question_comes_with_two_ways_and_one_main_act() -> None:
    page = drawn(asked())
    assert "Pair 4 never gave so much." in page
    assert 'href="#id_tub_mg" autofocus' in page
    assert len(re.findall(r'class="(?:act )?main"', page)) == 1
    assert pen(page) == []


def test_the_same_content_with_a_reason_answers_the_question() -> None:
    mark = value_of(drawn(asked()), "act_asked")
    again = TubForm(sent(act_asked=mark, act_reason="The paper ticket says so"))
    assert again.is_valid()
    assert again.reason == "The paper ticket says so"
    assert again.act_id == uuid.UUID(ID)


def test_own_words_come_before_the_usual_ones() -> None:
    mark = value_of(drawn(asked()), "act_asked")
    assert TubForm(sent(act_asked=mark, act_reason="x", act_reason_own=" a new stone ")).reason == "a new stone"


def test_other_content_is_asked_anew() -> None:
    mark = value_of(drawn(asked()), "act_asked")
    assert TubForm(sent(tub_mg="0.889", act_asked=mark, act_reason="sure")).reason == ""
    assert TubForm(sent(act_reason="sure")).reason == ""


def test_an_answer_without_a_reason_is_told_so() -> None:
    mark = value_of(drawn(asked()), "act_asked")
    assert "Say why it is right" in drawn(asked(act_asked=mark))
    assert "Say why it is right" not in drawn(asked())


def test_a_refusal_stands_beside_the_field_that_it_names() -> None:
    form = TubForm(sent())
    assert form.is_valid()
    form.heed(Refused("Pair 4 is closed.", "pair"))
    page = drawn(form)
    assert pen(page) == ["pair"]
    assert form.errors["pair"] == ["Pair 4 is closed."]


@pytest.mark.parametrize("field", ["", "lot"])
def test_a_refusal_of_the_whole_stands_above(field: str) -> None:
    form = TubForm(sent())
    assert form.is_valid()
    form.heed(Refused("The book is read-only.", field))
    page = drawn(form)
    assert 'class="refused" role="alert" tabindex="-1" autofocus' in page
    assert "Nothing was written." in page
    assert pen(page) == []


# While typing --------------------------------------------------------------------------------------------------------


def test_what_is_good_yet_is_known_while_typing() -> None:
    assert TubForm(sent(tub_mg="0.", hopper="", pair="")).so_far().keys() == {"taken_off_at"}
    assert TubForm(QueryDict("tub_mg=0.888")).so_far() == {"tub_mg": 888_000}


def test_the_live_sentence_and_its_lengths() -> None:
    page = render_to_string("parts/live.html", {
        "say": "6 g to find.", "in_mg": 1000, "out_mg": 500, "rate": "40.4 g per hour", "reads": {"pair": "<b>Pair 4</b>"},
    })
    assert 'width="1000"' in page
    assert 'width="500"' in page
    assert '<template data-read-for="pair">&lt;b&gt;Pair 4&lt;/b&gt;</template>' in page
    assert "<svg" not in render_to_string("parts/live.html", {"say": "Nothing yet."})


def test_lines_stand_in_the_order_of_the_hands() -> None:
    page = drawn(TubForm())
    places = [page.index(part) for part in ('name="pair"', 'name="tub_mg"', "data-key", 'name="taken_off_at"', '<button class="main"')]
    assert places == sorted(places)


def test_a_form_without_figures_has_no_pad() -> None:
    class Leave(ActForm):
        pair = ScanField(label="Scan the tag")

    assert "data-key" not in drawn(Leave())


def test_nothing_is_disabled_or_checked_by_the_browser() -> None:
    page = drawn(TubForm(sent(tub_mg="")))
    assert " disabled" not in page
    assert " required" not in page
    assert "novalidate" in page
    assert 'type="number"' not in page


def test_words_of_a_person_do_not_become_markup() -> None:
    page: Any = drawn(TubForm(sent(tub_mg='"><script>x</script>', pair="<i>")))
    assert "<script>x" not in page
    assert "<i>" not in page
