"""The whole-ledger check finds any one altered field in any table, and says where in a sentence."""

from __future__ import annotations

import datetime as dt
import uuid
from collections.abc import Iterator
from decimal import Decimal

import pytest
from django.core.management import CommandError, call_command
from django.db import IntegrityError, connection, models, transaction

from lots.models import (
    BOOK,
    Composition,
    Edge,
    Flow,
    HoldReach,
    JournalEntry,
    JournalHead,
    Lot,
    Origin,
    PackFace,
    PrivateValue,
    Register,
    Step,
    Stock,
    locks,
)
from lots.models.fields import SealedField
from lots.read.verifying import verify_book
from lots.record import treatment, trimming
from lots.record.acts import Act
from tests import factories as make
from tests.checks import check_the_house
from tests.finishing import finish
from tests.house import keep_house
from tests.judging import judge
from tests.office import settle_office
from tests.record.goods import take_goods_in
from tests.sold import sell

pytestmark = pytest.mark.django_db


def laid_by_neighbours_and_hands() -> None:
    """The year of a plot beside its leaf, and a delivery bag by bag."""
    make.enter("plot_neighbour", "N1", plot="P1", side="NE", distance_m=4, grows="rice", buffer_m=3)
    at = make.next_moment
    treatment.notice(Act("A"), plot="P1", neighbour="N1", sprays_on=make.today(), product="Rice dust", happened_at=at())
    trimming.trim(Act("A"), plot="P2", trimmed_on=make.today(), as_plucking=True, happened_at=at())
    bags = (20_000_000, 21_000_000)
    make.FreshLeaf(plot="P3", fresh=make.Weight(sum(bags), "S1", 2), bag_count=2, bags_mg=bags)


def story() -> make.Chain:
    make.found_small_mill()
    settle_office()
    make.Covered()
    laid_by_neighbours_and_hands()
    make.enter("screen", "SC125", equipment="SIEVE1", aperture_um=125)
    make.Treated(applied_on=make.today() - dt.timedelta(days=30))
    chain = make.chain()
    make.Cleaned()
    make.Counted(lot=chain.refined)
    judge(chain.refined)
    finish(chain.packed[0])
    sell(chain.packed[0])
    check_the_house(chain.sieved)
    keep_house()
    take_goods_in()
    make.Held(lot=chain.sieved)
    make.enter("stage_expectation", "milling", loss_frac=Decimal("0.008"), sd_frac=Decimal("0.0035"))
    return chain


@pytest.fixture(scope="module")
def told(django_db_setup: None, django_db_blocker: pytest.fixture) -> Iterator[make.Chain]:
    """The story, told once for all tests here inside a transaction that is never committed."""
    with django_db_blocker.unblock(), transaction.atomic():
        yield story()
        transaction.set_rollback(True)


@pytest.fixture
def book(told: make.Chain, db: None) -> make.Chain:
    """The story, inside the test's own savepoint."""
    return told


def test_a_book_that_nobody_touched_agrees_with_its_journal(book: make.Chain) -> None:
    assert verify_book() == []


def altered(field: models.Field, value: object) -> object:
    """Another value of the same kind."""
    if isinstance(field, models.BooleanField):
        return not value
    if isinstance(field, models.UUIDField):
        return uuid.uuid4()
    if isinstance(field, models.DateTimeField):
        return (value or dt.datetime(2026, 1, 1, tzinfo=dt.UTC)) + dt.timedelta(seconds=7)
    if isinstance(field, models.DateField):
        return (value or dt.date(2026, 1, 1)) + dt.timedelta(days=1)
    if isinstance(field, models.DecimalField):
        return Decimal(str(value or 0)) + Decimal(1).scaleb(-field.decimal_places)
    if isinstance(field, models.IntegerField):
        return (value or 0) + 1
    if isinstance(field, models.BinaryField):
        return bytes([bytes(value)[0] ^ 1]) + bytes(value)[1:]
    return ("f" + str(value)[1:] if str(value)[:1] != "f" else "0" + str(value)[1:]) if value else "x"


def cases() -> list[tuple[type[models.Model], str]]:
    """Every own field of every table of the book; pointers are altered by their raw value where another row is there."""
    found = []
    for model in BOOK:
        found += [(model, f.name) for f in model._meta.concrete_fields if not f.primary_key and not f.is_relation]
    return found


@pytest.mark.parametrize(("model", "name"), cases(), ids=lambda x: x if isinstance(x, str) else x._meta.db_table)
def test_one_altered_field_is_found(book: make.Chain, model: type[models.Model], name: str) -> None:
    field = model._meta.get_field(name)
    row = model._default_manager.order_by("-pk").first()
    assert row is not None, f"the story leaves {model._meta.db_table} empty"
    if refused_by_the_engine(model, row, {name: altered(field, getattr(row, name))}):
        return
    faults = verify_book()
    assert faults
    told = " ".join(faults)
    assert model._meta.db_table in told or name in told or "Entry" in told


def refused_by_the_engine(model: type[models.Model], row: models.Model, change: dict[str, object]) -> bool:
    """Alter a row with the locks lifted; a constraint of the table may still refuse it, which is as good as found."""
    try:
        with locks.suspended(connection), transaction.atomic():
            model._default_manager.filter(pk=row.pk).update(**change)
    except IntegrityError:
        locks.install(connection)
        return True
    return False


def pointers() -> list[tuple[type[models.Model], str]]:
    found = []
    for model in BOOK:
        found += [(model, f.name) for f in model._meta.concrete_fields if f.is_relation and not f.primary_key]
    return found


@pytest.mark.parametrize(("model", "name"), pointers(), ids=lambda x: x if isinstance(x, str) else x._meta.db_table)
def test_one_bent_pointer_is_found(book: make.Chain, model: type[models.Model], name: str) -> None:
    field = model._meta.get_field(name)
    row = model._default_manager.order_by("-pk").first()
    assert row is not None
    target = field.related_model._default_manager.exclude(pk=getattr(row, field.attname)).order_by("pk").first()
    bent = target.pk if target is not None else None
    with locks.suspended(connection):
        model._default_manager.filter(pk=row.pk).update(**{field.attname: bent if not field.null or target else None})
    changed = model._default_manager.filter(pk=row.pk).values_list(field.attname, flat=True).first() != getattr(row, field.attname)
    assert bool(verify_book()) is changed


@pytest.mark.parametrize("model", BOOK, ids=lambda m: m._meta.db_table)
def test_a_row_that_was_torn_out_is_found(book: make.Chain, model: type[models.Model]) -> None:
    row = model._default_manager.order_by("-pk").first()
    key = model._meta.pk.column
    with locks.suspended(connection), connection.constraint_checks_disabled(), connection.cursor() as cursor:
        if connection.vendor == "postgresql":
            cursor.execute("SET session_replication_role = replica")
        cursor.execute(f"DELETE FROM {model._meta.db_table} WHERE {key} = %s", [row.pk])
        if connection.vendor == "postgresql":
            cursor.execute("SET session_replication_role = origin")
    assert verify_book()
    put_back(row)


def put_back(row: models.Model) -> None:
    """The row again, so that the pointers hold when the test's transaction ends."""
    with locks.suspended(connection):
        type(row)._default_manager.bulk_create([row])


@pytest.mark.parametrize(
    ("model", "change"),
    [
        (Stock, {"book_mg": models.F("book_mg") + 1}), (Edge, {"share_frac": 0.5}), (Composition, {"share_frac": 0.25}),
        (Composition, {"plot_code": "P9"}), (PackFace, {"facts": "{}"}), (JournalHead, {"size": models.F("size") + 1}),
        (JournalHead, {"next_ids": "{}"}), (PrivateValue, {"value": '"somebody else"'}),
    ],
    ids=lambda x: x._meta.db_table if isinstance(x, type) else next(iter(x)),
)
def test_what_is_derived_is_compared_too(book: make.Chain, model: type[models.Model], change: dict[str, object]) -> None:
    row = model._default_manager.order_by("-pk").first()
    assert row is not None
    model._default_manager.filter(pk=row.pk).update(**change)
    assert verify_book()


@pytest.mark.parametrize("model", [Stock, Edge, Origin, Composition, HoldReach, PackFace], ids=lambda m: m._meta.db_table)
def test_a_derived_row_that_is_gone_is_missed(book: make.Chain, model: type[models.Model]) -> None:
    model._default_manager.filter(pk=model._default_manager.order_by("-pk").first().pk).delete()
    assert verify_book()


def test_a_rebuild_mends_what_is_derived_and_touches_nothing_else(book: make.Chain) -> None:
    Edge.objects.all().delete()
    Stock.objects.update(book_mg=1)
    root = bytes(JournalHead.objects.get().frontier)
    call_command("rebuild", verbosity=0)
    assert verify_book() == []
    assert bytes(JournalHead.objects.get().frontier) == root


def test_the_command_lists_faults_and_ends_with_an_error(book: make.Chain, capsys: pytest.CaptureFixture[str]) -> None:
    call_command("verify", verbosity=0)
    assert "agrees with its journal" in capsys.readouterr().out
    with locks.suspended(connection):
        Flow.objects.filter(lot=book.refined, kind="out").update(mass_mg=1)
    with pytest.raises(CommandError, match="differ"):
        call_command("verify", verbosity=0)
    out = capsys.readouterr().out
    assert "flow" in out
    assert "mass_mg stands as 1" in out


def test_a_forged_entry_does_not_pass_by_mending_its_own_hash(book: make.Chain) -> None:
    """A person with the database's password rewrites a mass in row, body and leaf hash: chain and tree still say no."""
    from lots.journal.tree import leaf_hash

    flow = Flow.objects.get(lot=book.fresh, kind="out")
    entry = flow.step.entry
    old = f'"mass_mg":{flow.mass_mg}'.encode()
    body = bytes(entry.body).replace(old, b'"mass_mg":59000000')
    assert body != bytes(entry.body)
    with locks.suspended(connection):
        JournalEntry.objects.filter(pk=entry.pk).update(body=body, leaf_hash=leaf_hash(body))
        Flow.objects.filter(pk=flow.pk).update(mass_mg=59_000_000)
        Lot.objects.filter(pk=book.fresh.pk).update(mass_mg=59_000_000)
    told = " ".join(verify_book())
    assert "tree's root" in told
    assert "prev" in told or book.fresh.code in told


def test_erasing_a_name_keeps_the_proof(book: make.Chain) -> None:
    sealed = [f.name for f in next(iter(m for m in BOOK if issubclass(m, Register) and m._meta.db_table == "party"))._meta.fields if isinstance(f, SealedField)]
    assert sealed
    PrivateValue.objects.all().delete()
    assert verify_book() == []


def test_the_steps_of_the_story_cover_every_stage(book: make.Chain) -> None:
    stages = set(Step.objects.values_list("stage", flat=True))
    assert stages >= {"shading", "treatment", "harvest", "drying", "refining", "milling", "cleaning", "sieving", "packing", "dispatch", "counting"}
