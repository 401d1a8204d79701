"""Accounts: who has one, one for an auditor that ends by itself, and an end at once."""

from __future__ import annotations

from typing import Any

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.urls import reverse
from django.utils import timezone
from django.utils.translation import gettext as _
from django.views.decorators.http import require_POST, require_safe

from lots.desk.access import ROLE_WORDS, may
from lots.desk.forms.office import AccountForm
from lots.desk.recording import see_other
from lots.desk.saying import day_text, listed
from lots.read.accounts import Account, accounts
from lots.read.persons import badge_of
from lots.record.accounts import end_now, open_for_a_while
from lots.record.errors import NotWritten


@require_safe
def account_list(request: HttpRequest) -> HttpResponse:
    """Show every account, and the form for one that ends."""
    return page_with(request, AccountForm())


def page_with(request: HttpRequest, form: AccountForm, status: int = 200) -> HttpResponse:
    """Return the page."""
    opens = may(request.user, "office-accounts-open")
    rows = [(one, role_words(one)) for one in accounts(timezone.now())]
    return render(request, "desk/office_accounts.html", {"rows": rows, "form": form if opens else None, "me": request.user.get_username()},
                  status=status)


def role_words(one: Account) -> str:
    """Return the roles of an account in words."""
    return listed([str(ROLE_WORDS[role]) for role in one.roles if role in ROLE_WORDS])


@require_POST
def account_open(request: HttpRequest) -> HttpResponse:
    """Open an auditor's account that ends."""
    form = AccountForm(request.POST)
    if not form.is_valid():
        return page_with(request, form, 400)
    asked: dict[str, Any] = form.cleaned_data
    try:
        open_for_a_while(asked["login"], asked["password"], asked["last_on"], badge_of(request.user.get_username()))
    except NotWritten as fault:
        form.add_error(fault.field if fault.field in form.fields else None, fault.sentence)
        return page_with(request, form, 400)
    messages.success(request, _("The account %(login)s is open until the end of %(day)s. It reads everything and writes nothing.") % {
        "login": asked["login"], "day": day_text(asked["last_on"]),
    })
    return see_other(reverse("office-accounts"))


@require_POST
def account_end(request: HttpRequest) -> HttpResponse:
    """End an account now; nobody ends the one that is signed in."""
    login = request.POST.get("login", "")
    try:
        if login == request.user.get_username():
            messages.error(request, _("You are signed in as %(login)s: another administrator can end it.") % {"login": login})
        else:
            end_now(login, badge_of(request.user.get_username()))
            messages.success(request, _("The account %(login)s has ended.") % {"login": login})
    except NotWritten as fault:
        messages.error(request, fault.sentence)
    return see_other(reverse("office-accounts"))
