"""What stands at the head and foot of every paper: the maker, and the entry up to which the book was read."""

from __future__ import annotations

import datetime as dt
from dataclasses import dataclass

from lots.journal.tree import EMPTY_ROOT, Frontier
from lots.models import House, JournalEntry, JournalHead


@dataclass(frozen=True, slots=True)
class PaperHead:
    """The maker as printed, and the state of the book: how many entries, the root over them, when the last was written
    (None: the book is empty)."""

    name: str
    name_ja: str
    address: str
    contact: str
    invented: bool
    entry_count: int
    root: bytes
    as_of_at: dt.datetime | None

    @property
    def last_entry_at(self) -> dt.datetime:
        """When the last entry was written; for an empty book, the beginning of the calendar of computers."""
        return self.as_of_at or dt.datetime(1970, 1, 1, tzinfo=dt.UTC)


def paper_head() -> PaperHead:
    """Return head and foot of a paper as of now, in three queries."""
    house = House.objects.order_by("-version").first()
    head = JournalHead.objects.first()
    size = head.size if head else 0
    last = JournalEntry.objects.filter(seq=size - 1).values_list("recorded_at", flat=True).first()
    root = root_of(bytes(head.frontier)) if head else EMPTY_ROOT
    if house is None:
        return PaperHead("", "", "", "", invented=False, entry_count=size, root=root, as_of_at=last)
    return PaperHead(house.name, house.name_ja, house.address, house.contact, house.invented, size, root, last)


def root_of(frontier: bytes) -> bytes:
    """Return the root of the tree whose frontier is kept with the head."""
    return Frontier.from_bytes(frontier).root() if frontier else EMPTY_ROOT
