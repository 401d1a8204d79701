"""What a station remembers between forms: which scale stands there, and on which basis its moistures are said.

It is kept in the session, is shown on every form, and changes when somebody chooses otherwise.
"""

from __future__ import annotations

from collections.abc import Iterable
from typing import Any

KEY = "station"


class Station:
    """The settings of the desk at which somebody signed in."""

    def __init__(self, session: Any) -> None:
        self.session = session
        self._set: dict[str, str] = dict(session.get(KEY, {}))

    def of(self, setting: str, known: Iterable[str], usual: str = "") -> str:
        """Return what was set last, else the usual one, else the first known; only ever a known one."""
        names = list(known)
        for wanted in (self._set.get(setting, ""), usual):
            if wanted in names:
                return wanted
        return names[0] if names else ""

    def kept(self, setting: str) -> str:
        """Return what was set last, nothing if nothing was."""
        return self._set.get(setting, "")

    def remember(self, setting: str, value: str) -> None:
        """Keep a choice for the next form."""
        if value and self._set.get(setting) != value:
            self._set[setting] = value
            self.session[KEY] = self._set
