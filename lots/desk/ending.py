"""Accounts that end by themselves: whether one has, and what its person is told."""

from __future__ import annotations

import datetime as dt
from typing import Any

from django.utils import timezone
from django.utils.translation import gettext as _

from lots.desk.saying import clock_text, day_text
from lots.models import AccountEnd


def ended_at(user: Any) -> dt.datetime | None:
    """Return when an account ended, nothing while it has not."""
    row = AccountEnd.objects.filter(user=user.pk, ends_at__lte=timezone.now()).first()
    return row.ends_at if row else None


def ended_sentence(name: str, at: dt.datetime) -> str:
    """Return the sentence for a person whose account has ended."""
    return _("The account %(name)s ended on %(day)s at %(clock)s. The administrator can open another one.") % {
        "name": name, "day": day_text(at), "clock": clock_text(at),
    }
