"""Contact on machines: which runs followed each other without a clean-down between them, and what follows from it.

A run leaves leaf behind; the next run on the machine takes it up, unless the machine was opened and cleaned. Contact
is carried on: what came into a run can leave it again, so that the runs between two clean-downs are one group.
"""

from __future__ import annotations

from bisect import bisect_right
from collections import defaultdict
from collections.abc import Iterable, Mapping, Sequence

from lots.genealogy.graph import GenealogyError
from lots.trade.lineage import Clean, Contact, Use


def contacts(uses: Iterable[Use], cleans: Iterable[Clean]) -> tuple[Contact, ...]:
    """Every contact between neighbouring runs, machine by machine, in the order of the later use.

    Two runs are neighbours on a machine where no third use lies wholly between them. A clean-down excludes the contact
    (``cleaned_by``) where the machine was opened and the step lies after the earlier use and before the later one.
    Uses that overlap in step ids touch in both directions, whatever was cleaned meanwhile. The bound is what the
    earlier run left behind. A run does not touch itself. Raises GenealogyError for a use that ends before it begins or
    leaves less than nothing.
    """
    opened = _opened(cleans)
    return tuple(
        contact
        for equipment, spans in sorted(_by_machine(uses).items())
        for contact in _on_machine(spans, opened.get(equipment, ()))
    )


def contact_groups(uses: Iterable[Use], cleans: Iterable[Clean]) -> tuple[tuple[str, tuple[int, ...]], ...]:
    """Machine and runs of each group: all runs on one machine with no clean-down between them, in order of use.

    A run that was on the machine before and after a clean-down is in both groups. Raises as `contacts` does.
    """
    opened = _opened(cleans)
    groups: list[tuple[str, tuple[int, ...]]] = []
    for equipment, spans in sorted(_by_machine(uses).items()):
        runs: dict[int, None] = {}
        last_step = spans[0].last_step
        for use in spans:
            if _clean_between(opened.get(equipment, ()), last_step, use.first_step) is not None:
                groups.append((equipment, tuple(runs)))
                runs = {}
            runs[use.run] = None
            last_step = max(last_step, use.last_step)
        groups.append((equipment, tuple(runs)))
    return tuple(groups)


def _by_machine(uses: Iterable[Use]) -> Mapping[str, list[Use]]:
    spans: defaultdict[str, list[Use]] = defaultdict(list)
    for use in uses:
        if use.first_step > use.last_step:
            raise GenealogyError(
                f"Run {use.run} on {use.equipment} ends at step {use.last_step}, before it begins at step "
                f"{use.first_step}. Look at the run's steps."
            )
        if use.left_mg is not None and use.left_mg < 0:
            raise GenealogyError(
                f"Run {use.run} is said to have left {use.left_mg} mg on {use.equipment}; a mass is zero or more."
            )
        spans[use.equipment].append(use)
    for each in spans.values():
        each.sort(key=lambda use: (use.first_step, use.last_step, use.run))
    return spans


def _opened(cleans: Iterable[Clean]) -> Mapping[str, list[int]]:
    steps: defaultdict[str, list[int]] = defaultdict(list)
    for clean in cleans:
        if clean.opened:
            steps[clean.equipment].append(clean.step)
    for each in steps.values():
        each.sort()
    return steps


def _clean_between(opened: Sequence[int], after_step: int, before_step: int) -> int | None:
    place = bisect_right(opened, after_step)
    return opened[place] if place < len(opened) and opened[place] < before_step else None


def _on_machine(spans: Sequence[Use], opened: Sequence[int]) -> Iterable[Contact]:
    recent: list[Use] = []
    for use in spans:
        begun = max((each.first_step for each in recent if each.last_step < use.first_step), default=0)
        # Whatever ended before the youngest finished use began is covered by it, for this use and for all later ones.
        recent = [each for each in recent if each.last_step >= begun]
        for earlier in recent:
            if earlier.run == use.run:
                continue
            if earlier.last_step >= use.first_step:
                yield Contact(use.equipment, earlier.run, use.run, earlier.left_mg)
                yield Contact(use.equipment, use.run, earlier.run, use.left_mg)
            else:
                clean = _clean_between(opened, earlier.last_step, use.first_step)
                yield Contact(use.equipment, earlier.run, use.run, earlier.left_mg, clean)
        recent.append(use)
