"""What stands on every page: the house, the time at the mill, the doors, the folio, and whether all is sent."""

from __future__ import annotations

import datetime as dt
from functools import cached_property
from typing import Any

from django.http import HttpRequest
from django.utils import timezone
from django.utils.functional import SimpleLazyObject
from django.utils.translation import get_language, gettext, override

from lots.desk import lamp
from lots.desk.doors import Door, contents, current_door, head_doors, roles_of
from lots.models import House, JournalEntry
from lots.trade.units import moment_text, number_text, short_date_text, time_text

LANGUAGE_NAMES = {"en": "English", "ja": "日本語"}
# The ground of the page in the first bytes: the browser paints it before the style sheet is there.
GROUNDS = {"low": ("dark", "#1a1611"), "high": ("light", "#faf6ec"), "": ("light dark", "#faf6ec")}


class OpenDoor:
    """A door as a page shows it: its words, its address, and whether the page is behind it."""

    def __init__(self, door: Door, language: str, current: Door | None) -> None:
        self.title = door.title(language)
        self.url = door.url()
        self.current = door is current


class HouseHead:
    """The head and foot of a page. Each part is worked out when it is asked for: a page pays for what it shows."""

    def __init__(self, request: HttpRequest) -> None:
        self.request = request
        self.language = (get_language() or "en")[:2]
        self.other_language = "en" if self.language == "ja" else "ja"
        self.other_language_name = LANGUAGE_NAMES[self.other_language]

    @cached_property
    def row(self) -> House | None:
        """The newest version of the house."""
        return House.objects.filter(retired=False).order_by("-valid_from_at", "-id").first()

    @property
    def name(self) -> str:
        """The house's name in the language of the page."""
        if self.row is None:
            return "Tea Lot Ledger"
        return (self.language == "ja" and self.row.name_ja) or self.row.name

    @property
    def book(self) -> str:
        """Which book is open: that of the year."""
        return gettext("mill-book %(year)s") % {"year": self.now.year}

    @cached_property
    def now(self) -> dt.datetime:
        """The time at the mill."""
        return timezone.localtime().replace(microsecond=0)

    @property
    def now_text(self) -> str:
        """The time at the mill in words: "2026-07-14 (Tue) 08:10"."""
        return moment_text(self.now, self.language)

    @property
    def invented(self) -> bool:
        """Whether the house says that its data is invented."""
        return bool(self.row and self.row.invented)

    @property
    def contact(self) -> str:
        """Whom to ask for help."""
        return self.row.contact if self.row else ""

    @cached_property
    def last_entry(self) -> JournalEntry | None:
        """The last entry of the book, without its body."""
        return JournalEntry.objects.defer("body", "leaf_hash").order_by("-seq").first()

    @property
    def folio(self) -> str:
        """The number of the last entry as the margin shows it."""
        if self.last_entry is None:
            return ""
        return gettext("entry %(number)s") % {"number": number_text(self.last_entry.seq, 0)}

    @property
    def sending(self) -> str:
        """How far what was typed has reached the book. A page from the server means: all of it."""
        if self.last_entry is None:
            return gettext("Nothing written yet")
        written = timezone.localtime(self.last_entry.recorded_at)
        day = "" if written.date() == self.now.date() else short_date_text(written.date(), self.language) + " "
        return gettext("All sent %(when)s") % {"when": f"{day}{time_text(written)}"}

    @cached_property
    def roles(self) -> frozenset[str]:
        """The roles of the person at the desk."""
        return roles_of(getattr(self.request, "user", None))

    @cached_property
    def door(self) -> Door | None:
        """The door that the page is behind."""
        match = self.request.resolver_match
        return current_door(match.view_name if match else "")

    @property
    def doors(self) -> list[OpenDoor]:
        """At most five doors for the head of the page."""
        return [OpenDoor(door, self.language, self.door) for door in head_doors(self.roles, self.door)]

    @property
    def contents(self) -> list[OpenDoor]:
        """All doors of this person, for the foot of the page."""
        return [OpenDoor(door, self.language, self.door) for door in contents(self.roles)]

    @property
    def other_door_title(self) -> str:
        """The door's words in the other language."""
        if self.door is None:
            return ""
        with override(self.other_language):
            return self.door.title(self.other_language)

    @property
    def path(self) -> str:
        """Where the switches at the foot come back to."""
        return self.request.get_full_path() if self.request.method == "GET" else self.request.path

    @property
    def lamp(self) -> str:
        """The lamp that was set on this device: "low", "high", or "" while the device decides."""
        return lamp.of(self.request)

    @property
    def color_scheme(self) -> str:
        """The scheme in which a browser paints the empty page."""
        return GROUNDS[self.lamp][0]

    @property
    def ground(self) -> str:
        """The colour of the ground, for the browser's own bars."""
        return GROUNDS[self.lamp][1]


def house(request: HttpRequest) -> dict[str, Any]:
    """Context processor: `house` on every page."""
    return {"house": SimpleLazyObject(lambda: HouseHead(request))}
