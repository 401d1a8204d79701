"""Shares by plot, cultivar, flush, grower or state, and what may be claimed from them.

A claim is judged on bounds. The unknown share counts as nothing in the lower bound and as everything in the upper one;
what may have come over from an earlier run on the same machine (contact) widens both. "Only" is a matter of presence:
no other label and nothing unknown may be there, however little.
"""

from __future__ import annotations

import math
from collections import defaultdict
from collections.abc import Collection, Mapping
from dataclasses import dataclass
from enum import StrEnum

from lots.genealogy.composition import UNKNOWN, complete
from lots.genealogy.graph import GenealogyError

#: The label of the share whose harvest, or whose label, is not known.
UNKNOWN_LABEL = ""

#: A share that misses its mark by the rounding of a float still reaches it (12 kg of 20 kg is 60 %).
_ROUNDING = 1e-12

#: The largest share that is not all of it: what is only nearly pure must never read as pure.
_JUST_BELOW_ALL = math.nextafter(1.0, 0.0)


class Standing(StrEnum):
    """The three answers to a claim."""

    HOLDS = "holds"
    FAILS = "fails"
    NOT_DECIDABLE = "not decidable"


class Ground(StrEnum):
    """What decided about a claim."""

    ENOUGH = "the recorded share is enough"
    OTHER = "others are recorded in it"
    TOO_LITTLE = "the recorded share is too small"
    UNKNOWN = "part of it has no known origin"
    CONTACT = "an earlier lot may have come over on a machine"


@dataclass(frozen=True, slots=True)
class Claim:
    """A claim judged. Of the dry mass between ``lower_frac`` and ``upper_frac`` is ``label``; ``least_frac`` was asked.

    ``others`` are the other labels recorded in it, ``unknown_frac`` its unknown share, ``touched_frac`` the most that
    contact may have brought of other labels (None: nobody knows how much).
    """

    standing: Standing
    ground: Ground
    label: str
    least_frac: float
    lower_frac: float
    upper_frac: float
    others: tuple[str, ...]
    unknown_frac: float
    touched_frac: float | None


def by_label(composition: Mapping[int, float], label_of: Mapping[int, str]) -> dict[str, float]:
    """The composition summed by label, largest share first, the unknown last under `UNKNOWN_LABEL`.

    A harvest without a label is unknown under this label, though its plot may be known.
    """
    amounts: defaultdict[str, list[float]] = defaultdict(list)
    for harvest, share in complete(composition).items():
        label = UNKNOWN_LABEL if harvest == UNKNOWN else label_of.get(harvest, UNKNOWN_LABEL)
        amounts[label].append(share)
    sums = {label: math.fsum(each) for label, each in amounts.items()}
    return dict(sorted(sums.items(), key=lambda item: (item[0] == UNKNOWN_LABEL, -item[1], item[0])))


def claim_single(
    composition: Mapping[int, float],
    labels: Mapping[int, str],
    touched_bound_frac: float | None,
    *,
    touched_labels: Collection[str] = (),
) -> Claim:
    """Is it of one plot (cultivar, flush, grower …) only? Judged for the label with the largest share.

    ``labels`` gives each harvest its label. ``touched_bound_frac`` is the most that standing contacts may have brought,
    as a share of the dry mass: 0 where no contact stands, None where one stands without a bound; what is more than the
    whole counts as the whole. ``touched_labels`` are the labels of what the contact may have brought, where all of them
    are known: contact with the same label harms nothing. Raises GenealogyError for a bound below zero.
    """
    shares = by_label(composition, labels)
    label = next(iter(shares), UNKNOWN_LABEL)
    return _judged(shares, label, 1.0, _bound(touched_bound_frac), touched_labels)


def claim_at_least(
    composition: Mapping[int, float],
    labels: Mapping[int, str],
    label: str,
    least_frac: float,
    touched_bound_frac: float | None,
    *,
    touched_labels: Collection[str] = (),
) -> Claim:
    """Is at least ``least_frac`` of the dry mass of ``label``? With 1 it is "all of it", decided by presence.

    The other arguments are those of `claim_single`. Raises GenealogyError for a share outside 0 to 1, an empty label,
    or a bound below zero.
    """
    if not 0 <= least_frac <= 1:
        raise GenealogyError(f"The claim asks for the share {least_frac:g}; a share lies between 0 and 1.")
    if label == UNKNOWN_LABEL:
        raise GenealogyError("The claim names nothing. Say which plot, cultivar, flush or state is claimed.")
    return _judged(by_label(composition, labels), label, least_frac, _bound(touched_bound_frac), touched_labels)


def _bound(touched_bound_frac: float | None) -> float | None:
    if touched_bound_frac is None:
        return None
    if not touched_bound_frac >= 0:
        raise GenealogyError(
            f"At most the share {touched_bound_frac:g} of it is said to have come over from an earlier lot: "
            f"this cannot be below zero."
        )
    return min(touched_bound_frac, 1.0)


def _judged(
    shares: Mapping[str, float],
    label: str,
    least_frac: float,
    touched_bound_frac: float | None,
    touched_labels: Collection[str],
) -> Claim:
    bound_frac = 0.0 if set(touched_labels) == {label} else touched_bound_frac
    recorded = _recorded_range(shares, label)
    may_be_of_it = not touched_labels or label in touched_labels or UNKNOWN_LABEL in touched_labels
    lower, upper = _touched_range(recorded, bound_frac, may_be_of_it=may_be_of_it)
    standing = _standing(lower, upper, least_frac)
    return Claim(
        standing=standing,
        ground=_ground(standing, _standing(*recorded, least_frac), least_frac),
        label=label,
        least_frac=least_frac,
        lower_frac=lower,
        upper_frac=upper,
        others=tuple(other for other in shares if other not in {label, UNKNOWN_LABEL}),
        unknown_frac=shares.get(UNKNOWN_LABEL, 0.0),
        touched_frac=bound_frac,
    )


def _recorded_range(shares: Mapping[str, float], label: str) -> tuple[float, float]:
    others = [share for other, share in shares.items() if other not in {label, UNKNOWN_LABEL}]
    known = shares.get(label, 0.0) if label != UNKNOWN_LABEL else 0.0
    lower = 1.0 if set(shares) == {label} and label != UNKNOWN_LABEL else min(known, _JUST_BELOW_ALL)
    upper = min(1 - math.fsum(others), _JUST_BELOW_ALL) if others else 1.0
    return lower, upper


def _touched_range(
    recorded: tuple[float, float], bound_frac: float | None, *, may_be_of_it: bool
) -> tuple[float, float]:
    lower, upper = recorded
    if bound_frac == 0:
        return recorded
    touched = 1.0 if bound_frac is None else bound_frac
    if may_be_of_it and upper < 1:
        upper = min(upper + (1 - upper) * touched, _JUST_BELOW_ALL)
    return min(lower * (1 - touched), _JUST_BELOW_ALL), upper


def _standing(lower_frac: float, upper_frac: float, least_frac: float) -> Standing:
    mark = least_frac - _ROUNDING if least_frac < 1 else 1.0
    if lower_frac >= mark:
        return Standing.HOLDS
    return Standing.FAILS if upper_frac < mark else Standing.NOT_DECIDABLE


def _ground(standing: Standing, as_recorded: Standing, least_frac: float) -> Ground:
    if standing is Standing.HOLDS:
        return Ground.ENOUGH
    if standing is Standing.FAILS:
        return Ground.OTHER if least_frac >= 1 else Ground.TOO_LITTLE
    return Ground.UNKNOWN if as_recorded is Standing.NOT_DECIDABLE else Ground.CONTACT
