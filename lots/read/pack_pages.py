"""What a stranger may read of one pack: its series' facts, its state, and the words of a recall."""

from __future__ import annotations

import datetime as dt
import hashlib
import json
from dataclasses import dataclass
from typing import Any

from django.core.cache import cache

from lots.codes.packs import PackParts, belongs
from lots.models import Hold, House, Lot
from lots.read.holding import StandingHold, holds_on_lot
from lots.read.rows import marks, values

HOUSE_KEPT_S = 30
#: The series of a pack with its face, its run's secret, and whether it is void or stopped: one fixed statement.
SERIES = """
SELECT u.lot_id, f.facts, s.secret,
  EXISTS (SELECT 1 FROM pack_move m WHERE m.unit_id = u.id AND m.fate = 'void' AND m.first_no <= %s AND m.last_no >= %s),
  EXISTS (SELECT 1 FROM hold_reach r WHERE r.step_id = u.step_id AND NOT EXISTS (SELECT 1 FROM hold e WHERE e.ends_id = r.hold_id))
  OR EXISTS (SELECT 1 FROM hold h WHERE h.lot_id = u.lot_id AND h.kind <> 'release'
    AND NOT EXISTS (SELECT 1 FROM hold e WHERE e.ends_id = h.id))
FROM packed_unit u JOIN pack_face f ON f.unit_id = u.id LEFT JOIN pack_secret s ON s.run_no = u.run_no
WHERE u.run_no = %s AND u.first_no <= %s AND u.last_no >= %s
"""


@dataclass(frozen=True, slots=True)
class HouseWords:
    """The maker as strangers see it."""

    name: str
    name_ja: str
    contact: str
    keeping: str
    keeping_ja: str
    invented: bool


@dataclass(frozen=True, slots=True)
class PackPage:
    """One pack that the maker knows: facts as disclosed, best before, and what stops it (nothing when in order)."""

    run_no: int
    pack_no: int
    facts: dict[str, Any]
    growers: tuple[str, ...]
    best_before_on: dt.date
    stops: tuple[StandingHold, ...]
    digest: str = ""

    @property
    def recall(self) -> StandingHold | None:
        """The recall that stands, if any."""
        return next((s for s in self.stops if s.kind == Hold.Kind.RECALL), None)


def find_pack(parts: PackParts | None) -> PackPage | None:
    """Return the pack of a code, or None for an unknown, malformed or void one: all alike, after the same work."""
    run_no, pack_no = (parts.run_no, parts.pack_no) if parts else (0, 0)
    found = values(SERIES, [pack_no, pack_no, run_no, pack_no, pack_no])
    lot, facts_text, secret, void, stopped = found[0] if found else (0, "", None, False, False)
    if not belongs(parts, bytes(secret) if secret is not None else None) or not found or void:
        return None
    facts = json.loads(facts_text)
    stops = tuple(holds_on_lot(Lot.objects.get(pk=lot))) if stopped else ()
    day = dt.date.fromisoformat(facts["best_before_on"])
    return PackPage(run_no, pack_no, facts, growers(facts), day, stops, digest_of(facts_text))


def digest_of(facts_text: str) -> str:
    """Return a short digest of the facts, to know a page that was rendered from the same ones."""
    return hashlib.sha256(facts_text.encode()).hexdigest()[:24]


def growers(facts: dict[str, Any]) -> tuple[str, ...]:
    """Return the names of growers who agreed to be named and were not erased since."""
    sealed = [origin["grower"] for origin in facts["origins"] if origin["grower"]]
    if not sealed:
        return ()
    told = values(f"SELECT value FROM private_value WHERE commitment IN ({marks(sealed)})", sealed)
    return tuple(sorted({str(json.loads(value)) for (value,) in told}))


def house_words() -> HouseWords:
    """Return the maker's words, asked at most twice a minute by each process."""
    words = cache.get("house_words")
    if words is None:
        words = read_house()
        cache.set("house_words", words, HOUSE_KEPT_S)
    return words


def read_house() -> HouseWords:
    """Return the maker's words from the register."""
    row = House.objects.order_by("-version").first()
    if row is None:
        return HouseWords("Stone mill", "", "", "", "", invented=False)
    return HouseWords(row.name, row.name_ja, row.contact, row.keeping, row.keeping_ja, row.invented)
