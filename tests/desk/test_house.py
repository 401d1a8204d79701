"""Shelves, bins, blends and what is taken out of stock, at the desk."""

from __future__ import annotations

import pytest
from django.test import Client

from lots.models import Blending, BlendPlan, Lot, PackedUnit, Removal, ShelfCount, Shelving
from lots.read.series import series_state
from lots.record import holding
from lots.record.acts import Act
from tests import factories as make
from tests.desk.conftest import Hands, asked, broken_off, page, refused, sent_twice, typed, written
from tests.house import book_mg, put_on, shelf, two_plots

pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("book_holds")]


def test_two_scans_put_a_lot_on_a_shelf_and_a_search_finds_it(clerk: Client) -> None:
    lot = make.RefinedLeaf(maker_ref="R26-LT1")
    assert "No lot has been put on a shelf yet." in page(clerk.get("/shelves/"))
    told = written(clerk, "/shelves/put/", typed(lot="R26-LT1", place=shelf("A1")))
    assert "R26-LT1 stands on shelf A1." in told
    assert "R26-LT1" in page(clerk.get("/shelves/?code=r26"))
    assert "on shelf A1" in page(clerk.get(f"/lot/{lot.code}/"))
    assert "Nothing stands there by the book." in page(clerk.get("/shelves/?code=nowhere"))
    assert "1 lot, not counted yet." in page(clerk.get("/shelves/"))
    told = written(clerk, "/shelves/take/", typed(lot=lot.code, place="A1"))
    assert "R26-LT1 was taken off shelf A1." in told
    assert Shelving.objects.count() == 2


def test_a_shelf_that_is_none_is_said_under_its_line(clerk: Client) -> None:
    shelf("A1")
    assert "No shelf Z9 is in the register." in clerk.post("/shelves/put/live/", typed(place="Z9")).content.decode()
    assert "register of shelves" in refused(clerk, "/shelves/put/", typed(lot=make.RefinedLeaf().code, place="Z9"))


def test_a_shelf_is_counted_blind_and_what_is_missing_is_named(clerk: Client) -> None:
    one, two = (put_on(make.RefinedLeaf(maker_ref=ref)) for ref in ("R26-LT1", "R26-LT2"))
    left = f"{book_mg(one) / 1e6:.2f}"
    fields = typed(place="A1", counted=f"{one.code}\n{left}\n", scale="S2")
    live = clerk.post("/shelves/count/live/", fields).content.decode()
    assert "1 lot: " in live
    assert "R26-LT1" in live
    assert "R26-LT2" not in live
    told = written(clerk, "/shelves/count/", fields)
    assert "Not met, though the book has them here: R26-LT2 ." in told
    assert "Every lot is as the book has it." in told
    assert (ShelfCount.objects.get().expected_count, two.code) == (2, two.code)


def test_a_lot_without_its_weight_is_said(clerk: Client) -> None:
    lot = put_on()
    assert "No weight stands behind" in refused(clerk, "/shelves/count/", typed(place="A1", counted=f"{lot.code}\n", scale="S2"))
    assert "before any lot was scanned" in refused(clerk, "/shelves/count/", typed(place="A1", counted="3.20", scale="S2"))


def test_sent_twice_and_broken_off(clerk: Client, monkeypatch: pytest.MonkeyPatch) -> None:
    lot = put_on()
    fields = typed(place="A1", counted=f"{lot.code} {book_mg(lot) / 1e6:.2f}", scale="S2")
    broken_off(clerk, "/shelves/count/", fields, monkeypatch)
    assert "nothing was written twice" in sent_twice(clerk, "/shelves/count/", fields)


def test_lots_into_one_bin_with_a_live_balance(clerk: Client) -> None:
    lots = [make.RefinedLeaf(), make.RefinedLeaf()]
    whole = sum(book_mg(lot) for lot in lots) / 1e6
    fields = typed(lots="\n".join(lot.code for lot in lots), together_mg=f"{whole:.2f}", scale="S2", bin_name="Bin 4")
    assert "go in" in page(clerk.post("/blends/bin/live/", fields))
    assert "together: lot R" in written(clerk, "/blends/bin/", fields)
    assert "Bins" in page(clerk.get("/blends/"))


def test_a_plan_says_shares_and_what_cannot_be_kept_before_anything_is_poured(clerk: Client) -> None:
    one, two = two_plots()
    fields = typed(name="Morning", parts=f"{one.code} 3.0\n{two.code} 1.0", kind="cultivar", label="Saemidori", least="70")
    live = page(clerk.post("/blends/plan/live/", fields))
    assert "75.0 % Saemidori, 25.0 % Okuyutaka" in live.replace(" and ", ", ")
    assert "It keeps what is meant: at least 70 % Saemidori." in live
    assert "Plan Morning" in written(clerk, "/blends/plan/", fields)
    answer = clerk.post("/blends/plan/", typed(name="Evening", parts=fields["parts"], kind="cultivar", label="Saemidori", least="90"))
    assert "It cannot be called at least 90 % Saemidori" in page(answer)
    assert BlendPlan.objects.count() == 1


def test_a_blend_beside_its_plan(clerk: Client) -> None:
    one, two = two_plots()
    written(clerk, "/blends/plan/", typed(name="Morning", parts=f"{one.code} 3.0\n{two.code} 1.0", kind="none"))
    plan = BlendPlan.objects.get().pk
    assert "Morning" in page(clerk.get("/blends/"))
    fields = typed(
        plan=str(plan), poured=f"{one.code}\n2.900\n{two.code}\n1.100", blend_mg="3.990", left_mg="0.008", mixed_count="15", scale="S3",
    )
    answer = clerk.post("/blends/leaf/live/", fields)
    assert "72.5\xa0%" in answer.content.decode()
    live = page(answer)
    assert "Off the plan: 0.10 kg too little of" in live.replace("100 g", "0.10 kg")
    told = written(clerk, "/blends/leaf/", fields)
    assert "3.990 kg blended: lot R" in told
    assert "Off the plan:" in told
    assert (Blending.objects.get().mixed_s, Blending.objects.get().plan_id) == (900, plan)


def test_a_blend_of_powder(clerk: Client) -> None:
    lots = [make.Sieved(lots=make.mill(job=job).tubs) for job in ("J1", "J2")]
    whole = sum(book_mg(lot) for lot in lots) / 1e6
    fields = typed(poured="\n".join(lot.code for lot in lots), blend_mg=f"{whole:.3f}", scale="S3")
    assert "blended: lot S" in written(clerk, "/blends/powder/", fields)
    assert [book_mg(lot) for lot in lots] == [0, 0]


def test_spilt_used_and_given(clerk: Client) -> None:
    leaf, packed = make.RefinedLeaf(), make.Packed()
    assert "0.25 kg spilt. A torn bag." in written(
        clerk, "/shelves/out/spilt/", typed(lot=leaf.code, mass_mg="0.250", scale="S3", why="A torn bag"),
    )
    assert "How much was it? Weigh it." in refused(clerk, "/shelves/out/spilt/", typed(lot=leaf.code, scale="S3"))
    assert "2 packs used in the house." in written(clerk, "/shelves/out/used/", typed(lot=packed.code, pack_count="2", why="Tasted", scale="S3"))
    told = written(clerk, "/shelves/out/given/", typed(lot=packed.code, pack_count="3", first_no="10", recipient="Nanako Ito", scale="S3"))
    assert "3 packs given away." in told
    assert "Nanako" not in told
    assert series_state(PackedUnit.objects.get(lot=packed)).here_count == 15


def test_destroyed_before_a_witness_with_evidence_for_what_is_fetched_back(hands: Hands) -> None:
    quality, packed = hands("quality"), make.Packed()
    holding.fetch_back(Act("D"), lot=packed.code, reason="Smoke", what_to_do="Bring it back.", happened_at=make.next_moment())
    fields = typed(lot=packed.code, pack_count="20", first_no="1", how="burnt", witness="A", scale="S3")
    assert "name the evidence" in refused(quality, "/shelves/out/destroyed/", fields)
    told = written(quality, "/shelves/out/destroyed/", {**fields, "evidence": "Ticket 12"})
    assert "20 packs destroyed. Burnt. Evidence: Ticket 12. Seen by Hana Mori." in told
    assert Removal.objects.get().witness.code == "A"


def test_lowered_leaf_bears_a_new_code(hands: Hands) -> None:
    quality, leaf = hands("quality"), make.RefinedLeaf()
    told = written(quality, "/shelves/out/lowered/", typed(lot=leaf.code, state="conventional", why="A bag without a label", scale="S2"))
    assert "From now on conventional: lot R" in told
    assert Lot.objects.count() > 3
    asking = typed(lot=leaf.code, mass_mg="0.10", state="conventional", why="Again", scale="S2")
    answer = quality.post("/shelves/out/lowered/", asking)
    assert "Look at the scale and the label again." in page(answer)
    assert asked(answer) != {}


def test_a_packing_hand_neither_destroys_nor_lowers(hands: Hands) -> None:
    packing = hands("packing")
    assert packing.get("/shelves/out/destroyed/").status_code == 403
    assert packing.get("/shelves/out/lowered/").status_code == 403
    assert "Given away" in page(packing.get("/shelves/out/"))


def test_few_queries(clerk: Client, django_assert_max_num_queries: object) -> None:
    for _ in range(2):
        put_on(make.RefinedLeaf())
    with django_assert_max_num_queries(24):
        clerk.get("/shelves/")
    with django_assert_max_num_queries(24):
        clerk.get("/blends/")
