"""What is measured, each against its floor in the same run, sample by sample."""

from __future__ import annotations

import random
import statistics
import time
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from typing import Any

from django.core.cache import cache
from django.db import connection
from django.test import Client

from lots.codes.packs import pack_code
from lots.models import Lot, PackedUnit
from lots.public import throttle
from lots.read.composing import stored_shares
from lots.read.rows import values
from tests.benchmarks import recording

#: The most that each may cost, as a multiple of its floor: (SQLite, PostgreSQL).
LIMITS = {
    "pack page / bare page": (2.0, 3.0),
    "full trace with shares / bare page": (5.0, 5.0),
    "one composition / look-up by key": (12.0, 12.0),
    "record a step / bare inserts": (5.0, 3.0),
}
GROWTH_LIMIT = 1.5


@dataclass(frozen=True)
class Figure:
    """One measured ratio: medians of both sides in ms."""

    name: str
    floor_ms: float
    real_ms: float

    @property
    def ratio(self) -> float:
        return self.real_ms / self.floor_ms


def seconds(work: Callable[[], Any]) -> float:
    start = time.perf_counter()
    work()
    return time.perf_counter() - start


def figure(name: str, pairs: Sequence[tuple[float, float]]) -> Figure:
    return Figure(name, statistics.median(f for f, _ in pairs) * 1000, statistics.median(r for _, r in pairs) * 1000)


def units(count: int, seed: int = 11) -> list[PackedUnit]:
    """Some series of the later half of the book, by chance."""
    keys = list(PackedUnit.objects.order_by("pk").values_list("pk", flat=True))
    chosen = random.Random(seed).sample(keys[len(keys) // 2 :], min(count, len(keys) // 2))
    return list(PackedUnit.objects.filter(pk__in=chosen))


def pages(count: int) -> list[Figure]:
    """Pack page and full trace against a page by key, through the whole of Django but the socket."""
    throttle.PER_MINUTE = throttle.ALL_PER_MINUTE = 10**9
    client = Client()
    pack_pairs, trace_pairs = [], []
    for unit in units(count):
        code = pack_code(unit.run_no, 250, b"s" * 32)
        assert client.get(f"/p/{code}").status_code == 200
        assert client.get(f"/traced/{unit.step_id}/").status_code == 200
        floor = seconds(lambda u=unit: client.get(f"/floor/{u.pk}/"))
        pack_pairs.append((floor, seconds(lambda c=code: client.get(f"/p/{c}"))))
        floor = seconds(lambda u=unit: client.get(f"/floor/{u.pk}/"))
        trace_pairs.append((floor, seconds(lambda u=unit: client.get(f"/traced/{u.step_id}/"))))
    cache.clear()
    return [figure("pack page / bare page", pack_pairs), figure("full trace with shares / bare page", trace_pairs)]


def composition(count: int) -> Figure:
    """One stored composition with its plots against a look-up by key, both by a fixed statement."""
    pairs = []
    for unit in units(count):
        stored_shares(unit.step_id)
        floor = seconds(lambda u=unit: values("SELECT stage FROM step WHERE id = %s", [u.step_id]))
        pairs.append((floor, seconds(lambda u=unit: stored_shares(u.step_id))))
    return figure("one composition / look-up by key", pairs)


def write(rounds: int) -> Figure:
    """A load and a tub, recorded and bare."""
    leaf = Lot.objects.filter(material="refined_leaf").order_by("-pk").first()
    assert leaf is not None
    floor, real = recording.measure(leaf.code, rounds)
    return figure("record a step / bare inserts", list(zip(floor, real, strict=True)))


def all_figures(count: int) -> list[Figure]:
    return [*pages(count), composition(count * 3), write(count)]


def engine() -> int:
    """Which of the two limits holds here."""
    return 1 if connection.vendor == "postgresql" else 0
