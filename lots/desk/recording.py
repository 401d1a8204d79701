"""The one way from a form to the book: every screen that writes is an `ActView`.

The form becomes an act; the recorder writes, refuses or asks; the page comes back with the answer and with everything
that was typed, or empty for the next one with what was just written at its head.
"""

from __future__ import annotations

import contextlib
from abc import ABC, abstractmethod
from collections.abc import Mapping, Sequence
from types import MappingProxyType
from typing import Any, ClassVar

from django.contrib import messages
from django.core.exceptions import ValidationError
from django.http import HttpRequest, HttpResponse, HttpResponseRedirect
from django.shortcuts import render
from django.urls import reverse
from django.utils.functional import cached_property
from django.utils.html import format_html
from django.utils.safestring import SafeString
from django.utils.translation import gettext as _
from django.views import View

from lots.desk.access import may
from lots.desk.forms.base import ActForm
from lots.desk.forms.fields import ScanField
from lots.desk.recorded import for_hands
from lots.desk.stations import Station
from lots.desk.words import entry_number, joined, language, unbroken
from lots.read.persons import badge_of
from lots.record.acts import Act, Receipt
from lots.record.errors import NotWritten
from lots.trade import language as trade


def see_other(url: str) -> HttpResponseRedirect:
    """Return the answer to a form that was taken: look there, and do not send it again."""
    answer = HttpResponseRedirect(url)
    answer.status_code = 303
    return answer


def read_links(form: ActForm) -> dict[str, Any]:
    """Return what a link put into a form, as far as it can be read; what cannot stands in its line to be seen."""
    found = {}
    for name, typed in form.initial.items():
        with contextlib.suppress(ValidationError):
            found[name] = form.fields[name].to_python(typed)
    return {name: value for name, value in found.items() if value}


def whole(live: dict[str, Any]) -> dict[str, Any]:
    """Return a live part with no code broken over a line."""
    reads = {name: unbroken(sentence) for name, sentence in live.get("reads", {}).items()}
    return {**live, "reads": reads, **{name: unbroken(live[name]) for name in ("say", "rate") if live.get(name)}}


class ActView(View, ABC):
    """One screen with one form that writes one act. ``live_only`` answers what the form says so far and writes nothing.

    Subclasses name the page, its form, and say in `write` which recorder takes it.
    """

    form_class: ClassVar[type[ActForm]]
    template_name: ClassVar[str]
    page: ClassVar[str]
    door: ClassVar[str] = ""
    has_live: ClassVar[bool] = True
    #: Lines besides the scan lines that a link may fill.
    links: ClassVar[Sequence[str]] = ()
    #: The form's line for what the recorder calls by another name.
    line_of: ClassVar[Mapping[str, str]] = MappingProxyType({})
    live_only = False

    # What a screen says --------------------------------------------------------------------------------------------

    @abstractmethod
    def write(self, act: Act, form: Any) -> Receipt:
        """Hand the form to its recorder."""

    @abstractmethod
    def said(self, receipt: Receipt, form: Any) -> str:
        """Return what was written, in one sentence, for the head of the next page."""

    def more(self, _receipt: Receipt, _form: Any) -> str:
        """Return what else was written, for the line under it."""
        return ""

    def options(self) -> dict[str, Any]:
        """Return what the form needs from the registers."""
        return {}

    def dress(self, form: Any) -> None:
        """Put beside the fields what was typed last time."""

    def so_far(self, _form: Any, _facts: dict[str, Any]) -> dict[str, Any]:
        """Return the live part: ``say``, ``in_mg``, ``out_mg``, ``rate``, and ``reads`` by field. Writes nothing."""
        return {}

    def context(self) -> dict[str, Any]:
        """Return what stands on the page beside the form."""
        return {}

    def after(self, _receipt: Receipt, _form: Any) -> str:
        """Return where the hands go next: the same screen, empty."""
        return reverse(self.page, kwargs=self.kwargs)

    # How it goes ---------------------------------------------------------------------------------------------------

    @cached_property
    def station(self) -> Station:
        """What this desk remembers."""
        return Station(self.request.session)

    def form(self, data: Any = None) -> Any:
        """Return the form, with what a link named already put into its scan lines."""
        made = self.form_class(data, initial=self.linked(), **self.options())
        if self.has_live:
            made.live_url = reverse(f"{self.page}-live", kwargs=self.kwargs)
        made.leave_url = reverse(self.door or self.page)
        return made

    def linked(self) -> dict[str, str]:
        """Return what the link named: ``?pair=SP5``."""
        scans = [name for name, field in self.form_class.base_fields.items() if isinstance(field, ScanField)]
        return {name: self.request.GET[name] for name in (*scans, *self.links) if name in self.request.GET}

    def get(self, _request: HttpRequest, **_kwargs: Any) -> HttpResponse:
        """Show the empty form."""
        form = self.form()
        self.dress(form)
        linked = read_links(form)
        self.tell_scans(form, whole(self.so_far(form, linked)) if linked else {})
        return self.page_with(form)

    def post(self, request: HttpRequest, **_kwargs: Any) -> HttpResponse:
        """Write, or come back with the reason why not."""
        form = self.form(request.POST)
        if self.live_only:
            return render(request, "parts/live.html", self.live_part(form))
        receipt = self.written(form) if form.is_valid() else None
        if receipt is not None:
            messages.success(request, self.head_line(receipt, form))
            return see_other(self.after(receipt, form))
        self.dress(form)
        live = whole(self.so_far(form, dict(form.cleaned_data)))
        self.tell_scans(form, live)
        return self.page_with(form, **live)

    def live_part(self, form: Any) -> dict[str, Any]:
        """Return the live part of a form that is being typed."""
        return whole(self.so_far(form, form.so_far()))

    def written(self, form: Any) -> Receipt | None:
        """Hand the act to its recorder; its refusal or question is put on the form."""
        badge = badge_of(self.request.user.get_username())
        if not badge:
            form.refuse(_("%(name)s has no badge in the register of staff. The administrator can enter one.") % {
                "name": self.request.user.get_username(),
            })
            return None
        try:
            return self.write(Act(badge, form.act_id, form.reason), form)
        except NotWritten as answer:
            answer.field = self.line_of.get(answer.field, answer.field)
            form.heed(answer)
        except trade.Refused as answer:
            form.refuse(answer.text(language()))
        return None

    def head_line(self, receipt: Receipt, form: Any) -> SafeString:
        """Return what was written and under which entry; an act that was sent twice says so."""
        number = {"number": entry_number(receipt.seq)}
        again = _("It stands as entry %(number)s since the first time; nothing was written twice.") % number
        tail = again if receipt.repeated else _("Entry %(number)s.") % number
        more = joined((self.more(receipt, form), tail))
        return format_html('<span class="what">{}</span> {}', unbroken(self.said(receipt, form)), more)

    def tell_scans(self, form: Any, live: dict[str, Any]) -> None:
        """Say under each scan line what was scanned."""
        for name, sentence in live.get("reads", {}).items():
            form.set_read(name, sentence)

    def page_with(self, form: Any, **live: Any) -> HttpResponse:
        """Return the page."""
        beside = self.context()
        if "recorded" in beside:
            may_correct = may(self.request.user, "corrections-adjust")
            beside["recorded"] = for_hands(beside["recorded"], may_correct=may_correct)
        return render(self.request, self.template_name, {"form": form, **beside, **live})
