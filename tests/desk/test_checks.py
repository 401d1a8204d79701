"""The checks of the house at the desk: two buttons for a test piece, a scale under a weight, a logger's rows, a tub looked at for grit."""

from __future__ import annotations

import datetime as dt
import uuid

import pytest
from django.test import Client
from django.utils import timezone

from lots.models import CheckWeight, ClimateReading, GritCheck, Hold, MetalFind, PieceTest, ScaleCheck, ScaleClear
from lots.read.registers import named
from lots.record.climate import Reading
from tests import factories as make
from tests.checks import ClimateRead, Found, PieceSent, dressed, enter_detector, enter_room, enter_weight, failed_check, first_tub
from tests.desk.conftest import Hands, asked, broken_off, page, refused, sent_twice, typed, written

pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("book_holds")]
BOARD, PIECE, FIND, SCALE, AIR, GRIT = (f"/checks/{end}" for end in ("", "test-piece/", "find/", "scale/", "climate/", "grit/"))


def test_one_press_says_that_a_piece_was_seen(clerk: Client) -> None:
    enter_detector()
    said = page(clerk.get(PIECE))
    assert "FE15, iron 1.5 mm, for MD-FE15 Never sent through. Seen , FE15 Not seen , FE15" in said
    told = written(clerk, PIECE, {"act_id": str(uuid.uuid4()), "piece": "FE15", "seen": "yes"})
    assert "FE15 was seen. Entry" in told
    assert PieceTest.objects.get().seen


def test_one_press_says_that_it_was_not_and_stops_the_lots(clerk: Client) -> None:
    make.Packed()
    enter_detector()
    told = written(clerk, PIECE, {"act_id": str(uuid.uuid4()), "piece": "FE15", "seen": "no"})
    assert "FE15 was not seen. 6 lots are stopped, with 27 packs in them or made of them. Stop the line" in told
    assert Hold.objects.count() == 6


def test_a_press_that_is_sent_twice_is_one_test(clerk: Client) -> None:
    enter_detector()
    assert "nothing was written twice" in sent_twice(clerk, PIECE, {"act_id": str(uuid.uuid4()), "piece": "FE15", "seen": "yes"})


def test_the_disk_fails(clerk: Client, monkeypatch: pytest.MonkeyPatch) -> None:
    make.Sieved()
    enter_detector()
    fields = {"act_id": str(uuid.uuid4()), "piece": "FE15", "seen": "no"}
    broken_off(clerk, PIECE, fields, monkeypatch)
    assert Hold.objects.count() == 0
    assert "2 lots are stopped" in written(clerk, PIECE, fields)


def test_a_find_stops_its_lot(clerk: Client) -> None:
    lot = make.Sieved()
    told = written(clerk, FIND, typed(equipment="SIEVE1", lot=lot.code, what="hair of wire", found_where="on the screen", size_mm="3.5"))
    assert "is stopped until somebody releases it" in told
    assert str(MetalFind.objects.get().size_mm) == "3.5"
    assert "Write a few words." in refused(clerk, FIND, typed(equipment="SIEVE1", lot=lot.code, what=""))


def test_a_scale_within(clerk: Client) -> None:
    enter_weight()
    told = written(clerk, SCALE, typed(scale="S3", weight="W5", shown_mg="5.000"))
    assert "S3 shows 5.000 kg under W5: off by 0.0 g, allowed 0.5 g. Within." in told


def test_a_scale_beyond_shows_what_it_puts_in_question(hands: Hands) -> None:
    clerk, quality = hands("clerk"), hands("quality")
    enter_weight()
    tub = make.mill(tub_count=1).tubs[0]
    told = written(clerk, SCALE, typed(scale="S3", weight="W5", shown_mg="5.050"))
    assert "off by +50.0 g, allowed 0.5 g. Beyond." in told
    assert "Take S3 out of use" in told
    check = ScaleCheck.objects.get()
    said = page(clerk.get(f"/checks/scale/{check.pk}/"))
    assert "0.877" in said
    assert "They stand, and why" not in said
    rows = clerk.get(f"/checks/scale/{check.pk}/file/").content.decode().splitlines()
    assert any("0.877" in row and "0.886" in row for row in rows[1:])
    assert "Its weighing on scale S3 is questioned." in page(clerk.get(f"/lot/{tub.code}/"))
    written(quality, f"/checks/scale/{check.pk}/clear/", typed(ground="Weighed again on S2"))
    assert ScaleClear.objects.get().ground == "Weighed again on S2"
    assert "is questioned" not in page(clerk.get(f"/lot/{tub.code}/"))
    assert "Cleared: the weighings stand." in page(clerk.get(f"/checks/scale/{check.pk}/"))


def test_two_figures_are_the_air_of_a_room(clerk: Client) -> None:
    enter_room()
    told = written(clerk, AIR, typed(room="MILL", temperature_c="21.4", humidity="58"))
    assert "Mill room: 1 reading, all in the band." in told
    assert "Type the figure." in refused(clerk, AIR, typed(room="MILL", temperature_c="21.4"))


def test_the_rows_of_a_logger(clerk: Client) -> None:
    enter_room()
    day = timezone.localdate() - dt.timedelta(days=1)
    rows = f"time;temp;rh\n{day} 08:00;21.4;58\n{day} 09:00;25.1;58\n{day} 10:00;21.4;70.5"
    told = written(clerk, AIR, typed(room="MILL", logger=rows))
    assert "Mill room: 3 readings, 2 of them outside the band, from 15.0 to 24.0 °C and from 40 % to 65 %." in told
    assert ClimateReading.objects.get().reading_count == 3
    assert "is not read. A row is:" in refused(clerk, AIR, typed(room="MILL", logger=f"{day} 08:00;21.4;58\nat noon;22;60"))


def test_a_tub_is_looked_at_for_grit(hands: Hands) -> None:
    quality, tub = hands("quality"), first_tub()
    assert f"{tub}"[:3] in page(quality.get(GRIT))
    told = written(quality, GRIT, typed(lot=tub.code, clean_powder="no", looked="Rubbed between glass"))
    assert "it stays stopped. Stop the pair, open it" in told
    again = typed(lot=tub.code, clean_powder="yes", looked="Settled in water")
    answer = quality.post(GRIT, again)
    assert "Grit was found in lot" in page(answer)
    told = written(quality, GRIT, {**again, **asked(answer), "act_reason": "Other scoop, looked at twice"})
    assert "is clean and free to go on" in told
    assert GritCheck.objects.count() == 2


def test_only_the_quality_lead_looks_for_grit(clerk: Client) -> None:
    assert clerk.get(GRIT).status_code == 403


def test_what_is_due_stands_on_the_board_and_on_the_first_page(hands: Hands) -> None:
    clerk = hands("administrator")
    enter_detector(line="SIEVE1")
    dressed()
    make.Sieved(happened_at=timezone.now())
    enter_weight()
    failed_check()
    ClimateRead(room=enter_room(), readings=[Reading(make.Decimal("26.0"), make.Decimal("0.5"))], happened_at=timezone.now())
    for url in (BOARD, "/"):
        said = page(clerk.get(url))
        assert "It is due: powder goes through, never seen yet." in said
        assert "It waits for its grit check." in said
        assert "Scale S3." in said
        assert "Mill room: 1 reading outside its band" in said
    assert "Not checked today" in page(clerk.get(BOARD))


def test_the_balance_of_a_run_says_that_the_room_was_outside_its_band(clerk: Client) -> None:
    make.Load()
    ClimateRead(room=enter_room(), readings=[Reading(make.Decimal("26.0"), make.Decimal("0.5"))])
    make.Tub()
    run = make.Closed().run_id
    assert "The room in these hours. Mill room: 1 reading outside its band" in page(clerk.get(f"/balance/{run}/"))


def test_a_dressing_says_that_its_first_tub_is_stopped(clerk: Client) -> None:
    dressed()
    told = written(clerk, "/stones/dressing/", typed(pair="SP1", what="dressed"))
    assert "Its first tub is stopped until its grit check is clean." in told


def test_a_clean_down_says_what_was_done(clerk: Client) -> None:
    fields = typed(equipment="SIEVE1", opened="yes", done="sucked off", manner="wet", first_out="thrown away", checked_by="C")
    written(clerk, "/clean-down/", fields)
    said = page(clerk.get("/clean-down/"))
    assert "Cleaned wet: it must be dry before leaf goes in." in said
    assert "The first material was thrown away. Checked by badge C." in said


def test_the_registers_of_checks_are_entered_at_the_desk(hands: Hands) -> None:
    lead = hands("administrator")
    written(lead, "/registers/check_weight/enter/", typed(code="W2", nominal_mg="2", weight_class="M1", certificate_no="", valid_until_on=""))
    assert named(CheckWeight, "W2").nominal_mg == 2_000_000


def test_few_questions(clerk: Client, django_assert_max_num_queries: object) -> None:
    PieceSent()
    Found()
    clerk.get(BOARD)
    with django_assert_max_num_queries(30):  # type: ignore[operator]
        clerk.get(BOARD)
