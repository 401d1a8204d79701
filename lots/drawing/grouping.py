"""Fewer boxes on a crowded lineage sheet: boxes of one stage and tier become one that says how many they are."""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable, Sequence
from dataclasses import replace

from lots.drawing.words import ENGLISH, Words
from lots.trade.lineage import Arrow, Box, Ending, LineageSheet, Tier
from lots.trade.weighing import Verdict

#: A place on the sheet whose boxes can be put together: tier and column.
Spot = tuple[Tier, int]
_WORST_FIRST = (Verdict.STOP, Verdict.LOOK, Verdict.CANNOT, Verdict.ADDS_UP)


def _no_link(_tier: Tier, _column: int) -> str:
    return ""


def spot_key(spot: Spot) -> str:
    """The key of the box that stands for all boxes of a spot."""
    return f"group {spot[0].name.lower()} {spot[1]}"


def _spots(boxes: Sequence[Box], opened: Spot | None) -> list[Spot]:
    """Spots with more than one box that may be put together, the fullest first."""
    counts = Counter((b.tier, b.column) for b in boxes if not b.scanned)
    return [spot for spot, count in counts.most_common() if count > 1 and spot != opened]


def _chosen(sheet: LineageSheet, limit: int, opened: Spot | None) -> list[Spot]:
    left, chosen = len(sheet.boxes), []
    for spot in _spots(sheet.boxes, opened):
        if left <= limit:
            break
        chosen.append(spot)
        left -= sum(1 for b in sheet.boxes if (b.tier, b.column) == spot and not b.scanned) - 1
    return chosen


def _together(spot: Spot, boxes: Sequence[Box], href: str, words: Words) -> Box:
    """The one box: its count, the first and the last of its titles, the worst of its verdicts."""
    titles = [b.title for b in boxes]
    verdicts = {b.verdict for b in boxes}
    worst = next((v for v in _WORST_FIRST if v in verdicts), None)
    return Box(spot_key(spot), spot[1], words.group.format(count=len(boxes)), (f"{titles[0]} – {titles[-1]}",), spot[0], worst, href)


def _arrows(sheet: LineageSheet, new_key: dict[str, str], words: Words) -> tuple[Arrow, ...]:
    """Arrows between what is left; several that become one say how many they were."""
    found: dict[tuple[str, str, Tier], list[Arrow]] = {}
    for arrow in sheet.arrows:
        source, target = new_key.get(arrow.source, arrow.source), new_key.get(arrow.target, arrow.target)
        if source != target:
            found.setdefault((source, target, arrow.tier), []).append(arrow)
    return tuple(
        replace(arrows[0], source=source, target=target) if len(arrows) == 1
        else Arrow(source, target, tier, "", words.ways.format(count=len(arrows)))
        for (source, target, tier), arrows in found.items()
    )


def _endings(sheet: LineageSheet, new_key: dict[str, str], words: Words) -> tuple[Ending, ...]:
    """Endings of what is left; different ones that meet at one box say how many they were."""
    found: dict[str, list[Ending]] = {}
    for ending in sheet.endings:
        found.setdefault(new_key.get(ending.key, ending.key), []).append(ending)
    return tuple(
        replace(endings[0], key=key) if len({(e.strong, e.plain) for e in endings}) == 1
        else Ending(key, words.reasons.format(count=len(endings)), "", all(e.barred for e in endings))
        for key, endings in found.items()
    )


def grouped(
    sheet: LineageSheet, limit: int = 30, *, opened: Spot | None = None,
    link: Callable[[Tier, int], str] = _no_link, words: Words = ENGLISH,
) -> LineageSheet:
    """A sheet with at most ``limit`` boxes where that can be had: full spots (tier and column) become one box with a count.

    The scanned box and the spot ``opened`` keep all their boxes; ``link`` gives the address that opens a spot. Nothing is
    left out without its number. A sheet within the limit comes back unchanged.
    """
    if len(sheet.boxes) <= limit:
        return sheet
    members = {
        spot: [b for b in sheet.boxes if (b.tier, b.column) == spot and not b.scanned] for spot in _chosen(sheet, limit, opened)
    }
    new_key = {b.key: spot_key(spot) for spot, boxes in members.items() for b in boxes}
    boxes = [b for b in sheet.boxes if b.key not in new_key]
    boxes += [_together(spot, of_spot, link(*spot), words) for spot, of_spot in members.items()]
    return replace(sheet, boxes=tuple(boxes), arrows=_arrows(sheet, new_key, words), endings=_endings(sheet, new_key, words))
