"""Frozen records of a season's flow: what `read` sums by stage, and what the flow drawing and its table show."""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum

from lots.trade.weighing import Verdict


class Branch(StrEnum):
    """What a stream that leaves a stage is."""

    MAIN = "main"
    BY_PRODUCT = "by-product"
    DECLARED = "declared loss"
    SHELF = "still on the shelf"
    IN_MILL = "in the mill"
    UNEXPLAINED = "not found"


@dataclass(frozen=True, slots=True)
class Stream:
    """One stream out of a stage, in mg dry. An unexplained stream is signed (negative: too much came out) and carries what
    is usual and the verdict of the stage's summed balance."""

    label: str
    branch: Branch
    dry_mg: float
    usual_mg: float | None = None
    verdict: Verdict | None = None


@dataclass(frozen=True, slots=True)
class StageFlow:
    """One stage of the season: its name, a note ("12 lots"), what came in (mg dry) and the streams that left."""

    name: str
    note: str
    input_label: str
    input_mg: float
    streams: tuple[Stream, ...]


@dataclass(frozen=True, slots=True)
class SeasonFlow:
    """The season from field to powder, stage by stage in order of the process."""

    stages: tuple[StageFlow, ...]
    summary: str = ""
