"""The unit of work behind each act: rows are gathered, the journal entry is composed from them, then all is written."""

from __future__ import annotations

import datetime as dt
import json
import uuid
from collections import defaultdict
from collections.abc import Iterable
from typing import Any, TypeVar

from django.db import connection, models
from django.utils import timezone
from django.utils.translation import gettext as _

from lots.codes.errors import CodeError
from lots.codes.lots import new_lot_code
from lots.journal.canonical import canonical_bytes
from lots.journal.commitments import commit, new_salt
from lots.journal.entries import LotLink, compose
from lots.journal.tree import Frontier
from lots.models import (
    WRITTEN,
    ActKey,
    Flow,
    JournalEntry,
    JournalHead,
    Lot,
    LotEntry,
    PrivateValue,
    Register,
    Staff,
    Step,
)
from lots.models.written import moment, written
from lots.read.rows import marks, row, values
from lots.record.errors import Questioned, Refused
from lots.record.fitting import refuse_unfit
from lots.record.inserting import change, insert
from lots.record.words import register_word
from lots.trade.materials import MATERIALS

M = TypeVar("M", bound=models.Model)
LAST_ENTRIES = """
SELECT le.lot_id, le.n, je.leaf_hash FROM lot_entry le JOIN journal_entry je ON je.seq = le.entry_id
WHERE le.lot_id IN ({marks}) AND le.n = (SELECT MAX(x.n) FROM lot_entry x WHERE x.lot_id = le.lot_id)
"""
VERSION_OF_DAY = """
WHERE code = %s ORDER BY valid_from_at > %s, CASE WHEN valid_from_at > %s THEN version ELSE -version END LIMIT 1
"""


class Writing:
    """Everything that one act writes. Ids are taken from the head, which is held under a lock until the commit."""

    def __init__(self, head: JournalHead, act_id: uuid.UUID, kind: str, badge: str, reason: str) -> None:
        self.head = head
        self.act_id = act_id
        self.kind = kind
        self.badge = badge
        self.reason = reason
        self.seq = head.size
        self.now = timezone.now().replace(microsecond=0)
        self.happened_at = self.now
        self.step_id: int | None = None
        self.questions: list[str] = []
        self._asked_at = ""
        self.by = ""
        self._ids: dict[str, int] = json.loads(head.next_ids)
        self._rows: dict[type[models.Model], list[models.Model]] = defaultdict(list)
        self._touched: dict[int, Lot] = {}
        self._private: list[PrivateValue] = []
        self._entry = JournalEntry(seq=self.seq, act_id=act_id, kind=kind, recorded_at=self.now)

    # ids, rows ------------------------------------------------------------------------------------------------------

    def next_id(self, name: str) -> int:
        """Return the next number of a counter, from 1."""
        self._ids[name] = self._ids.get(name, 0) + 1
        return self._ids[name]

    def add(self, new: M) -> M:
        """Take a row of the book into this act; it gets its id here when it has one of its own."""
        key = new._meta.pk
        if new.pk is None and key is not None and not key.is_relation:
            new.pk = self.next_id(new._meta.db_table)
        if hasattr(type(new), "entry_id"):
            new.entry = self._entry  # type: ignore[attr-defined]
        self._rows[type(new)].append(new)
        return new

    def rows_of(self, model: type[M]) -> list[M]:
        """Return the rows of one table that this act holds so far."""
        return self._rows[model]  # type: ignore[return-value]

    def touch(self, lot: Lot) -> None:
        """Say that this act concerns a lot: its chain of entries goes through here."""
        self._touched[lot.pk] = lot

    def seal(self, value: Any) -> str:
        """Return the salted commitment of a value about a person or an exact place; empty for nothing given."""
        if value in ("", None, {}):
            return ""
        salt = new_salt()
        commitment = commit(value, salt)
        self._private.append(PrivateValue(commitment=commitment, salt=salt, value=canonical_bytes(value).decode()))
        return commitment

    # words ----------------------------------------------------------------------------------------------------------

    def question(self, sentence: str, field: str = "") -> None:
        """Ask once about a fact that the book cannot explain; with a reason it is taken and marked."""
        self.questions.append(sentence)
        self._asked_at = self._asked_at or field

    def ask(self) -> None:
        """Put every question of this act at once, so that one reason never answers what nobody has read."""
        if self.questions and not self.reason:
            raise Questioned(" ".join(self.questions), self._asked_at)

    def at(self, happened_at: dt.datetime | None) -> dt.datetime:
        """Set and return when the act happened; not in the future by more than five minutes."""
        when = happened_at or self.now
        if when > self.now + dt.timedelta(minutes=5):
            local = timezone.localtime(when)
            msg = _("%(when)s has not come yet. Type when it happened.")
            raise Refused(msg % {"when": f"{local:%Y-%m-%d %H:%M}"}, "happened_at")
        self.happened_at = when
        return when

    def in_force(self, model: type[M], code: str, what: str, field: str = "") -> M:
        """Return the version of a register's code of the day of this act, or refuse with a sentence.

        For a day before the first version that one stands: the thing was there before the book knew it.
        """
        at = model._meta.get_field("valid_from_at").get_db_prep_value(self.happened_at, connection)  # type: ignore[union-attr]
        found = row(model, VERSION_OF_DAY, [code, at, at])
        if found is None or found.retired:  # type: ignore[attr-defined]
            msg = _("%(code)s is not in the register of %(register)s. Enter it there first, or scan again.")
            raise Refused(msg % {"code": code or _("An empty code"), "register": register_word(what)}, field)
        return found

    # spine ----------------------------------------------------------------------------------------------------------

    def step(self, stage: str, part: str, happened_at: dt.datetime | None = None, **fields: Any) -> Step:
        """Open the step of this act."""
        step = Step(stage=stage, part=part, happened_at=self.at(happened_at), reason=self.reason, **fields)
        self.step_id = self.add(step).pk
        return step

    def lot(self, step: Step, material: str, mass_mg: int, maker_ref: str = "") -> Lot:
        """Open a lot under a new public code."""
        letter, year = MATERIALS[material].letter, timezone.localtime(step.happened_at).year
        try:
            code = new_lot_code(letter, year, self.next_id(f"{letter}{year}"))
        except CodeError as fault:
            raise Refused(str(fault), "happened_at") from fault
        lot = self.add(Lot(code=code, maker_ref=maker_ref, material=material, step=step, mass_mg=mass_mg))
        self.touch(lot)
        return lot

    def flow(self, **fields: Any) -> Flow:
        """Add one line of a step."""
        flow = self.add(Flow(**fields))
        if flow.lot is not None:
            self.touch(flow.lot)
        return flow

    # end ------------------------------------------------------------------------------------------------------------

    def finish(self, digest: str) -> None:
        """Compose the entry from the rows, then write everything."""
        for step in self.rows_of(Step):
            step.questioned = " ".join(self.questions)[:400]
        for model in WRITTEN:
            for new in self._rows[model]:
                refuse_unfit(new)
        links = self._links()
        entry = compose(
            self.seq, str(self.act_id), self.kind, self.now, self._by(), act=self._act(), lots=[link for _, link in links]
        )
        self._entry.happened_at = self.happened_at
        self._entry.body, self._entry.leaf_hash = entry.body, entry.leaf_hash
        numbered = [
            LotEntry(id=self.next_id("lot_entry"), lot=lot, n=link.n, entry=self._entry) for lot, link in links
        ]
        self._move_head(entry.leaf_hash)
        insert([self._entry])
        insert(self._private)
        for model in WRITTEN:
            insert(self._rows[model])
        insert(numbered)
        insert([ActKey(act_id=self.act_id, seq=self.seq, fingerprint=digest)])

    def _act(self) -> dict[str, Any]:
        rows = {m._meta.db_table: [written(r) for r in self._rows[m]] for m in WRITTEN if self._rows[m]}
        return {"happened_at": moment(self.happened_at), "reason": self.reason, "rows": rows}

    def _by(self) -> str:
        if self.by:
            return self.by
        staff = row(Staff, "WHERE code = %s ORDER BY version DESC LIMIT 1", [self.badge])
        if staff is None or staff.retired:
            msg = _("Badge %(badge)s is not in the register of staff. Ask the administrator to enter it.")
            raise Refused(msg % {"badge": self.badge})
        return staff.name

    def _links(self) -> list[tuple[Lot, LotLink]]:
        new = {lot.pk for lot in self.rows_of(Lot)}
        last = last_entries([pk for pk in self._touched if pk not in new])
        links = []
        for pk, lot in self._touched.items():
            n, prev = last.get(pk, (0, ""))
            links.append((lot, LotLink(lot.code, n + 1, prev)))
        return links

    def _move_head(self, leaf: bytes) -> None:
        frontier = Frontier.from_bytes(bytes(self.head.frontier)) if self.head.size else Frontier()
        self.head.size += 1
        self.head.frontier = frontier.append(leaf).to_bytes()
        self.head.next_ids = json.dumps(self._ids, sort_keys=True)
        change("UPDATE journal_head SET size = %s, frontier = %s, next_ids = %s WHERE id = 1", [
            [self.head.size, self.head.frontier, self.head.next_ids]
        ])


def last_entries(lot_ids: Iterable[int]) -> dict[int, tuple[int, str]]:
    """Return for each lot how many entries it has and the leaf hash of the last."""
    ids = list(lot_ids)
    if not ids:
        return {}
    found = values(LAST_ENTRIES.format(marks=marks(ids)), ids)
    return {lot: (n, bytes(leaf).hex()) for lot, n, leaf in found}


def next_version(model: type[Register], code: str) -> int:
    """Return the version number that a new row of this code gets."""
    return model.objects.filter(code=code).count() + 1
