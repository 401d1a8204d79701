"""When the page of a pack was first opened. No address, no browser, no count is kept."""

from __future__ import annotations

import datetime as dt

from django.db import IntegrityError, transaction
from django.utils import timezone

from lots.models import Opening
from lots.quality.retention import refuse_early
from lots.read.retention import openings_kept
from lots.read.rows import row


def first_opened_at(run_no: int, pack_no: int) -> dt.datetime | None:
    """Return when this pack's page was first opened, and note it when this is the first time (then None)."""
    known = row(Opening, "WHERE run_no = %s AND pack_no = %s", [run_no, pack_no])
    if known is None:
        note(run_no, pack_no)
    return known.first_at if known else None


def note(run_no: int, pack_no: int) -> None:
    """Note a first opening; another process may have been quicker, which is as good."""
    try:
        with transaction.atomic():
            Opening.objects.create(run_no=run_no, pack_no=pack_no, first_at=timezone.now())
    except IntegrityError:
        return


def purge(before: dt.datetime) -> int:
    """Forget openings older than a moment; return how many. Raises KeptLonger while a retention rule keeps one of them."""
    refuse_early(openings_kept(before), timezone.localdate(), needs_rule=False)
    return Opening.objects.filter(first_at__lt=before).delete()[0]
