"""The arithmetic of a recall, in whole packs and exact fractions.

A percentage that reads "100 %" is a promise; it is printed for an exact whole only, never for one that rounds to it.
"Accounted for" is not "recovered": what was sold or used is known, and gone.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from dataclasses import astuple, dataclass
from fractions import Fraction

from lots.recall.ranges import RecallError


@dataclass(frozen=True, slots=True)
class Accounting:
    """Packs of one lot and size: made good, kept as samples, destroyed before the case, on hand (blocked), dispatched.

    Raises RecallError for a count below zero.
    """

    made_count: int
    retained_count: int
    destroyed_count: int
    on_hand_count: int
    dispatched_count: int

    def __post_init__(self) -> None:
        _counted(*astuple(self))

    @property
    def found_count(self) -> int:
        return self.retained_count + self.destroyed_count + self.on_hand_count + self.dispatched_count

    @property
    def unaccounted_count(self) -> int:
        """Made and not found: U = P - K - Z - H - D. Below zero more was found than made, which is an error too."""
        return self.made_count - self.found_count

    @property
    def reconciled_frac(self) -> Fraction | None:
        """(K + Z + H + D) / P; None where nothing was made."""
        return share(self.found_count, self.made_count)

    def __add__(self, other: Accounting) -> Accounting:
        return Accounting(*(one + two for one, two in zip(astuple(self), astuple(other), strict=True)))


@dataclass(frozen=True, slots=True)
class Answer:
    """What one consignee did with the packs sent to him: returned, destroyed there with evidence, held there blocked,
    sold or used. ``answered`` is False while he has said nothing. Raises RecallError for a count below zero.
    """

    dispatched_count: int
    returned_count: int = 0
    destroyed_count: int = 0
    held_count: int = 0
    used_count: int = 0
    answered: bool = True
    consignee: str = ""

    def __post_init__(self) -> None:
        _counted(self.dispatched_count, self.returned_count, self.destroyed_count, self.held_count, self.used_count)
        if not self.answered and self.secured_count + self.used_count:
            raise RecallError(
                f"{self.consignee or 'A consignee'} is marked as silent but has {self.secured_count + self.used_count} "
                f"packs accounted for. Mark the answer as received."
            )

    @property
    def secured_count(self) -> int:
        """Out of use: returned, destroyed there, held there."""
        return self.returned_count + self.destroyed_count + self.held_count

    @property
    def open_count(self) -> int:
        """Not yet spoken for: o = d - r - x - h - c. Below zero more was reported than sent."""
        return self.dispatched_count - self.secured_count - self.used_count


@dataclass(frozen=True, slots=True)
class Progress:
    """How far a recall has come, as exact fractions (None: nothing to divide by).

    ``recovery_frac``: returned, destroyed or held, of what was dispatched; ``held_frac`` is the held part of it, to be
    printed apart until it is back or destroyed. ``accounted_frac`` adds what was sold or used. ``under_control_frac``
    is of all packs made. ``response_frac`` counts consignees, ``response_by_count_frac`` weighs them by packs.
    ``open_count`` is what consignees have not spoken for; ``not_listed_count`` is dispatched by the book less the sum
    over consignees, zero unless a consignee is missing or twice in the list.
    """

    recovery_frac: Fraction | None
    held_frac: Fraction | None
    accounted_frac: Fraction | None
    under_control_frac: Fraction | None
    response_frac: Fraction | None
    response_by_count_frac: Fraction | None
    open_count: int
    not_listed_count: int


def progress(accounting: Accounting, answers: Sequence[Answer]) -> Progress:
    """Progress of a recall from its own packs and one `Answer` for each consignee that was notified."""
    secured = sum(each.secured_count for each in answers)
    used = sum(each.used_count for each in answers)
    listed = sum(each.dispatched_count for each in answers)
    dispatched = accounting.dispatched_count
    at_home = accounting.on_hand_count + accounting.retained_count + accounting.destroyed_count
    return Progress(
        recovery_frac=share(secured, dispatched),
        held_frac=share(sum(each.held_count for each in answers), dispatched),
        accounted_frac=share(secured + used, dispatched),
        under_control_frac=share(at_home + secured, accounting.made_count),
        response_frac=share(sum(each.answered for each in answers), len(answers)),
        response_by_count_frac=share(sum(each.dispatched_count for each in answers if each.answered), dispatched),
        open_count=sum(each.open_count for each in answers),
        not_listed_count=dispatched - listed,
    )


def effectiveness(check_count: int, acted_on_count: int) -> Fraction | None:
    """Share of the checks that found the notice received and acted on; None where nobody checked.

    Raises RecallError for more acted on than checked, or a count below zero.
    """
    _counted(check_count, acted_on_count)
    if acted_on_count > check_count:
        raise RecallError(f"{acted_on_count} consignees acted on the notice, but only {check_count} were checked.")
    return share(acted_on_count, check_count)


def sample_count(level_frac: Fraction, consignee_count: int) -> int:
    """How many consignees an effectiveness check asks: the level's share of them rounded up, at least one.

    ``level_frac`` is the level's share (0: no checks at this level; 1: everyone).
    Raises RecallError for a share outside 0 to 1 or a count below zero.
    """
    _counted(consignee_count)
    if not 0 <= level_frac <= 1:
        raise RecallError(f"A level asks the share {level_frac} of all consignees; a share lies between 0 and 1.")
    return math.ceil(level_frac * consignee_count)


def mass_reconciled(
    input_mg: Fraction | float, found_mg: Iterable[Fraction | float]
) -> tuple[Fraction | None, Fraction]:
    """Share of the dry mass that went in and was found again, and the signed difference in mg that was not.

    ``found_mg``: outputs, by-products, measured losses, stock and samples. None where nothing went in. No law read
    for this sets a tolerance, so none is applied.
    """
    went_in, found = Fraction(input_mg), sum((Fraction(each) for each in found_mg), Fraction())
    return (found / went_in if went_in else None), went_in - found


def share(part: int, whole: int) -> Fraction | None:
    """``part`` of ``whole``, exactly; None where there is no whole."""
    return Fraction(part, whole) if whole else None


def percent_words(value: Fraction | None, decimals: int = 2) -> str:
    """A share in words for paper: "62.50 %", "not applicable" for None.

    "100 %" stands for exactly 1 and "0 %" for exactly 0. What would round to either is shown one last digit away from
    it, on its own side; everything else is rounded to the nearest, halves away from zero.
    """
    if value is None:
        return "not applicable"
    sign, scale = ("−" if value < 0 else ""), 10**decimals
    if abs(value) in {0, 1}:
        return f"{sign}{100 * abs(value)} %"
    steps = _half_up(abs(value) * 100 * scale)
    if steps == 100 * scale:
        steps += 1 if abs(value) > 1 else -1
    steps = max(steps, 1)
    whole, rest = divmod(steps, scale)
    return f"{sign}{whole}.{rest:0{decimals}d} %" if decimals else f"{sign}{whole} %"


def _half_up(value: Fraction) -> int:
    return math.floor(value + Fraction(1, 2))


def _counted(*counts: int) -> None:
    below = [count for count in counts if count < 0]
    if below:
        raise RecallError(f"A count of {below[0]} packs was entered; packs are counted from zero up.")
