"""Accounts: none exists until a command makes one; a badge binds an account to the person who makes entries."""

from __future__ import annotations

import json

import pytest
from django.contrib.auth.models import User
from django.core.management import CommandError, call_command

from lots.models import PrivateValue, Staff
from lots.read.persons import badge_of
from lots.read.verifying import verify_book
from lots.record.accounts import ROLES, open_account
from lots.record.errors import Refused
from tests import factories as make

pytestmark = pytest.mark.usefixtures("mill")
PASSWORD = "a-long-winter-night"


def test_no_account_exists_by_itself() -> None:
    assert not User.objects.exists()


@pytest.mark.parametrize("role", ROLES)
def test_an_account_has_its_role_and_signs_in(role: str) -> None:
    user = open_account("sora", PASSWORD, [role])
    assert [group.name for group in user.groups.all()] == [role]
    assert user.check_password(PASSWORD)
    assert not user.is_superuser
    assert verify_book() == []


def test_an_account_for_a_badge_keeps_the_person_s_name() -> None:
    open_account("hana-2", PASSWORD, ["clerk"], badge="A")
    row = Staff.objects.filter(code="A").latest("version")
    assert (row.login, row.version) == ("hana-2", 2)
    assert json.loads(PrivateValue.objects.get(pk=row.name).value) == "Hana Mori"
    assert badge_of("hana-2") == "A"
    assert verify_book() == []


def test_a_badge_whose_name_was_erased_is_named_after_itself() -> None:
    PrivateValue.objects.all().delete()
    open_account("hana-2", PASSWORD, ["clerk"], badge="A")
    row = Staff.objects.filter(code="A").latest("version")
    assert json.loads(PrivateValue.objects.get(pk=row.name).value) == "badge A"
    assert verify_book() == []


def test_a_new_badge_is_entered_by_one_that_is_in_the_book() -> None:
    with pytest.raises(Refused, match="Badge G is not in the register of staff"):
        open_account("sora", PASSWORD, ["clerk"], badge="G")
    assert not User.objects.exists()
    open_account("sora", PASSWORD, ["clerk"], badge="G", by="F")
    assert badge_of("sora") == "G"
    assert verify_book() == []


@pytest.mark.parametrize(("login", "password", "roles", "field"), [
    ("sora", PASSWORD, ["king"], "roles"),
    ("sora", PASSWORD, [], "roles"),
    ("sora", "short", ["clerk"], "password"),
    ("sora", "1234567890123", ["clerk"], "password"),
    ("", PASSWORD, ["clerk"], "login"),
    ("so ra", PASSWORD, ["clerk"], "login"),
    ("s" * 151, PASSWORD, ["clerk"], "login"),
])
def test_an_account_that_cannot_be_is_refused(login: str, password: str, roles: list[str], field: str) -> None:
    with pytest.raises(Refused) as refused:
        open_account(login, password, roles)
    assert refused.value.field == field
    assert not User.objects.exists()


def test_a_name_is_given_once() -> None:
    open_account("sora", PASSWORD, ["clerk"])
    with pytest.raises(Refused, match="There is an account sora already"):
        open_account("sora", PASSWORD, ["quality"])
    assert User.objects.get().groups.get().name == "clerk"


def test_the_command_asks_for_the_password_and_opens_the_account(monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]) -> None:
    monkeypatch.setattr("getpass.getpass", lambda _: PASSWORD)
    call_command("account", "sora", "--role", "clerk", "--role", "quality", "--badge", "B")
    assert "Account sora is open: clerk, quality." in capsys.readouterr().out
    assert badge_of("sora") == "B"
    with pytest.raises(CommandError, match="already"):
        call_command("account", "sora", "--role", "clerk")
    assert verify_book() == []


def test_the_people_of_the_small_mill_have_their_badges() -> None:
    user = make.hand("quality")
    assert badge_of(user.username) == "C"
