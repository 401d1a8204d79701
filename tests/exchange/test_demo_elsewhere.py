"""The commands of demo and season where all is not as it should be: a real book, a clock that is wrong, the season alone."""

from __future__ import annotations

import datetime as dt
from pathlib import Path

import pytest
from django.contrib.auth.models import User
from django.core.management import CommandError, call_command
from django.utils import timezone

from lots.models import JournalEntry, JournalHead
from lots.record.acts import Act
from lots.record.registers import found_house

pytestmark = pytest.mark.django_db


def test_a_real_book_gets_no_account_of_the_demo() -> None:
    found_house(Act("F"), house={"name": "A real mill"}, badge="F", name="Kei Mori")
    with pytest.raises(CommandError, match="This book is not the demo's"):
        call_command("demo", verbosity=0)
    assert not User.objects.exists()
    assert JournalHead.objects.get().size == 1


def test_a_clock_that_stands_before_the_season_is_told_in_a_sentence(monkeypatch: pytest.MonkeyPatch) -> None:
    early = dt.datetime(2026, 4, 1, tzinfo=dt.UTC)
    monkeypatch.setattr(timezone, "now", lambda: early)
    with pytest.raises(CommandError, match=r"The demo was not loaded\. demo_season\.json, .* has not come yet"):
        call_command("demo", verbosity=0)
    assert not JournalHead.objects.filter(size__gt=0).exists()


def test_the_season_alone_is_loaded_by_its_command(capsys: pytest.CaptureFixture[str]) -> None:
    call_command("load_season", str(Path("fixtures/demo_season.json")), "--house", "A mill", verbosity=0)
    count = JournalEntry.objects.count()
    assert f"{count} acts recorded from demo_season.json." in capsys.readouterr().out
    assert count == 697
    assert not User.objects.exists()
