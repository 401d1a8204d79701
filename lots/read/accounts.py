"""Who has an account: its roles, its badge, when it was last used, when it ends."""

from __future__ import annotations

import datetime as dt
from collections import defaultdict
from dataclasses import dataclass

from django.contrib.auth.models import User

from lots.models import AccountEnd, Staff
from lots.read.registers import in_force


@dataclass(frozen=True, slots=True)
class Account:
    """One account; ``ends_at`` None where it does not end by itself."""

    login: str
    roles: tuple[str, ...]
    badge: str
    last_used_at: dt.datetime | None
    ends_at: dt.datetime | None
    ended: bool


def accounts(now: dt.datetime) -> list[Account]:
    """Return every account by name: four statements."""
    roles: dict[int, list[str]] = defaultdict(list)
    for user, role in User.objects.filter(groups__isnull=False).order_by("groups__name").values_list("pk", "groups__name"):
        roles[user].append(role)
    ends = dict(AccountEnd.objects.values_list("user_id", "ends_at"))
    badges = dict(in_force(Staff).exclude(login="").values_list("login", "code"))
    return [
        Account(u.username, tuple(roles[u.pk]), badges.get(u.username, ""), u.last_login, ends.get(u.pk), ends.get(u.pk, now) < now)
        for u in User.objects.order_by("username")
    ]
