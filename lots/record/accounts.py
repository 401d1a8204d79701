"""Accounts of people: outside the journal, but for the badge that binds an account to a person who makes entries."""

from __future__ import annotations

import datetime as dt
import json
from collections.abc import Sequence
from typing import Any

from django.contrib.auth.models import Group, User
from django.contrib.auth.password_validation import validate_password
from django.core.exceptions import ValidationError
from django.db import transaction
from django.utils import timezone
from django.utils.translation import gettext as _

from lots.models import AccountEnd, PrivateValue, Staff
from lots.record.acts import Act
from lots.record.errors import Refused
from lots.record.registers import enter

ROLES = ("clerk", "packing", "quality", "recall_lead", "auditor", "administrator")


def open_account(login: str, password: str, roles: Sequence[str], badge: str = "", by: str = "") -> User:
    """Open an account with roles, and bind it to a badge. ``by`` is the badge that enters the new one."""
    strangers = sorted(set(roles) - set(ROLES))
    if strangers or not roles:
        words = {"roles": ", ".join(strangers) or _("given"), "known": ", ".join(ROLES)}
        raise Refused(_("There is no role %(roles)s. Roles are %(known)s.") % words, "roles")
    refuse_login(login)
    if User.objects.filter(username=login).exists():
        raise Refused(_("There is an account %(login)s already.") % {"login": login}, "login")
    try:
        validate_password(password, User(username=login))
    except ValidationError as fault:
        raise Refused(" ".join(fault.messages), "password") from fault
    with transaction.atomic():
        user = User.objects.create_user(login, password=password)
        user.groups.set([Group.objects.get_or_create(name=role)[0] for role in roles])
        if badge:
            bind_badge(login, badge, by or badge)
    return user


def refuse_login(login: str) -> None:
    """Refuse a name that cannot be one of an account."""
    try:
        User._meta.get_field("username").clean(login, None)
    except ValidationError as fault:
        msg = _("The name of an account has letters, digits and @ . + - _ only, at least one and at most 150.")
        raise Refused(msg, "login") from fault


def name_of(badge: str) -> Any:
    """Return the name that a badge has in the book; a new badge, or one whose name was erased, is named after itself."""
    row = Staff.objects.filter(code=badge).order_by("-version").first()
    kept = PrivateValue.objects.filter(pk=row.name).first() if row else None
    return json.loads(kept.value) if kept else f"badge {badge}"


def bind_badge(login: str, badge: str, by: str) -> None:
    """Enter a version of a badge that names its account; the person's name stays."""
    if not Staff.objects.exists():
        raise Refused(_("The book is not open yet: load a season, or open the book with its first badge."), "badge")
    enter(Act(by), table="staff", code=badge, fields={"name": name_of(badge), "login": login})


def open_for_a_while(login: str, password: str, last_on: dt.date, by: str = "", roles: Sequence[str] = ("auditor",)) -> User:
    """Open an account that ends by itself with a day at the mill: an auditor's, unless other roles are given."""
    ends_at = midnight_after(last_on)
    if ends_at <= timezone.now():
        raise Refused(_("%(day)s has passed. Give the last day on which the account opens, today or later.") % {"day": last_on}, "last_on")
    with transaction.atomic():
        user = open_account(login, password, roles)
        AccountEnd.objects.create(user=user, ends_at=ends_at, made_by=by)
    return user


def midnight_after(day: dt.date) -> dt.datetime:
    """Return the first moment after a day at the mill."""
    after = day + dt.timedelta(days=1)
    return timezone.make_aware(dt.datetime(after.year, after.month, after.day))  # noqa: DTZ001 - made aware here


def end_now(login: str, by: str = "") -> None:
    """End an account at this moment; what it wrote stays. Sooner than it would by itself, never later."""
    user = User.objects.filter(username=login).first()
    if user is None:
        raise Refused(_("There is no account %(login)s.") % {"login": login}, "login")
    row, made = AccountEnd.objects.get_or_create(user=user, defaults={"ends_at": timezone.now(), "made_by": by})
    if not made and row.ends_at > timezone.now():
        AccountEnd.objects.filter(pk=row.pk).update(ends_at=timezone.now())
