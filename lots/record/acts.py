"""One human act: who, under which id, and what the ledger answered."""

from __future__ import annotations

import dataclasses
import datetime as dt
import enum
import functools
import unicodedata
import uuid
from collections.abc import Callable, Mapping
from dataclasses import dataclass, field
from decimal import Decimal
from typing import Any, Concatenate, ParamSpec

from django.db import connection, transaction
from django.utils.translation import gettext as _

from lots.journal.entries import fingerprint
from lots.journal.errors import JournalError
from lots.models import ActKey, JournalEntry, JournalHead, Lot, Step
from lots.models.written import moment
from lots.read.rows import row
from lots.record.deriving import derive
from lots.record.errors import Refused
from lots.record.inserting import together
from lots.record.owning import hand_on_owner
from lots.record.writing import Writing

P = ParamSpec("P")


@dataclass(frozen=True, slots=True)
class Act:
    """Who records, under an id made where it was typed. ``reason`` answers a question that the ledger asked before."""

    badge: str
    id: uuid.UUID = field(default_factory=uuid.uuid4)
    reason: str = ""


@dataclass(frozen=True, slots=True)
class Receipt:
    """The answer to an act: its entry, its step, the codes of the lots that it opened; ``repeated`` when it stood already."""

    seq: int
    kind: str
    step: int | None
    lots: tuple[str, ...]
    repeated: bool = False


def plain(value: Any) -> Any:
    """Return a typed value as the journal's narrow profile has it, so that equal content has equal digests."""
    if isinstance(value, enum.Enum):
        return value.value
    if isinstance(value, Decimal):
        return format(value.normalize(), "f")
    if isinstance(value, dt.datetime):
        return moment(value)
    if isinstance(value, (dt.date, uuid.UUID)):
        return str(value)
    if dataclasses.is_dataclass(value) and not isinstance(value, type):
        return {f.name: plain(getattr(value, f.name)) for f in dataclasses.fields(value)}
    if isinstance(value, Mapping):
        return {str(k): plain(v) for k, v in value.items()}
    return [plain(v) for v in value] if isinstance(value, (list, tuple)) else value


def tidy(value: Any) -> Any:
    """Return what was typed with its text in Unicode normal form C: one word has one byte form, whatever keyboard it came from."""
    if isinstance(value, enum.Enum):
        return value
    if isinstance(value, str):
        if "\x00" in value:
            raise Refused(_("A sign that cannot be printed stands in the text. Type it by hand."))
        return unicodedata.normalize("NFC", value)
    if dataclasses.is_dataclass(value) and not isinstance(value, type):
        return dataclasses.replace(value, **{f.name: tidy(getattr(value, f.name)) for f in dataclasses.fields(value)})
    if isinstance(value, Mapping):
        return {tidy(k): tidy(v) for k, v in value.items()}
    return type(value)(tidy(v) for v in value) if isinstance(value, (list, tuple)) else value


def content_digest(kind: str, act: Act, asked: Mapping[str, Any]) -> str:
    """Return the digest of what an act asks, or refuse what the journal cannot hold."""
    try:
        return fingerprint(kind, plain({"asked": asked, "badge": act.badge, "reason": act.reason}))
    except JournalError as fault:
        raise Refused(str(fault)) from fault


def act(kind: str) -> Callable[[Callable[Concatenate[Writing, P], None]], Callable[Concatenate[Act, P], Receipt]]:
    """Make a body that fills a `Writing` into a recorder: transaction, lock, repeat check, rows, journal entry."""

    def recorder(body: Callable[Concatenate[Writing, P], None]) -> Callable[Concatenate[Act, P], Receipt]:
        @functools.wraps(body)
        def record(act: Act, *args: P.args, **asked: P.kwargs) -> Receipt:
            if args:
                raise TypeError("What is recorded is given by name.")
            act, asked = tidy(act), tidy(asked)
            digest = content_digest(kind, act, asked)
            with transaction.atomic():
                head = locked_head()
                first = row(ActKey, "WHERE act_id = %s", [ActKey._meta.pk.get_db_prep_value(act.id, connection)])
                if first is not None:
                    return answer_again(first, digest)
                writing = Writing(head, act.id, kind, act.badge, act.reason)
                writing.at(asked.get("happened_at") or asked.get("valid_from_at"))
                body(writing, **asked)
                hand_on_owner(writing)
                writing.ask()
                with together():
                    writing.finish(digest)
                    derive(writing)
                return Receipt(writing.seq, kind, writing.step_id, tuple(lot.code for lot in writing.rows_of(Lot)))

        record.kind = kind  # type: ignore[attr-defined]
        return record

    return recorder


def locked_head() -> JournalHead:
    """Return the head of the journal under a lock until the commit (on SQLite the transaction itself is the lock)."""
    wait = " FOR UPDATE" if connection.features.has_select_for_update else ""
    head = row(JournalHead, f"WHERE id = 1{wait}")
    return head or JournalHead.objects.select_for_update().get_or_create(pk=1)[0]


def answer_again(first: ActKey, digest: str) -> Receipt:
    """Return the first answer to an act id, or refuse other content under the same id."""
    if first.fingerprint != digest:
        msg = _("This entry was sent before with other content (entry %(entry)s). What was written first stands. Start a new entry.")
        raise Refused(msg % {"entry": first.seq})
    entry = JournalEntry.objects.get(pk=first.seq)
    step = Step.objects.filter(entry=entry).order_by("id").first()
    codes = Lot.objects.filter(step__entry=entry).order_by("id").values_list("code", flat=True)
    return Receipt(entry.seq, entry.kind, step.pk if step else None, tuple(codes), repeated=True)
