"""What is open about packs, as the first page says it: labels that nobody counted, kept samples that are missing or due."""

from __future__ import annotations

from django.utils import timezone
from django.utils.translation import gettext as _
from django.utils.translation import ngettext

from lots.desk.saying import Said, listed, short_day_text
from lots.desk.ways import way
from lots.models import LabelVersion, PackedUnit
from lots.read.kept_samples import kept_samples
from lots.read.label_counts import uncounted_runs

RUNS_SHOWN = 4


def pack_entries() -> list[Said]:
    """Return the open things about packs; nothing for a house that packs nothing."""
    if not PackedUnit.objects.exists():
        return []
    return [*uncounted_entries(), *sample_entries()]


def uncounted_entries() -> list[Said]:
    """Return the newest runs whose labels nobody counted, where the house enters its labels at all."""
    if not LabelVersion.objects.exists():
        return []
    return [
        Said(
            what=_("Packing run %(lot)s.") % {"lot": run.name}, sentence=_("Its labels are not counted yet."), side=short_day_text(run.at),
            href=way("packing-run", run.step), do=_("Open the run"),
        )
        for run in uncounted_runs(RUNS_SHOWN)
    ]


def sample_entries() -> list[Said]:
    """Return the kept samples that a round missed, and those whose time is over."""
    today, kept = timezone.localdate(), kept_samples()
    missing = sum(one.missing_count or 0 for one in kept)
    due = [one.lot.name for one in kept if one.due(today)]
    gone = ngettext("The last round missed %(count)d sample.", "The last round missed %(count)d samples.", missing) % {"count": missing}
    over = _("Due for disposal: %(lots)s.") % {"lots": listed(due)}
    said = [sentence for there, sentence in ((missing, gone), (due, over)) if there]
    return [Said(what=_("Kept samples."), sentence=one, href=way("packing-samples"), do=_("See the samples")) for one in said]
