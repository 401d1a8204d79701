"""Registers: what the house knows by name. Nothing is overwritten; a change is a new version with its own day."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import render
from django.urls import reverse
from django.utils.functional import cached_property
from django.utils.translation import gettext as _
from django.utils.translation import override
from django_tables2 import RequestConfig

from lots.desk.access import may
from lots.desk.forms.register_words import REGISTERS
from lots.desk.forms.registers import RegisterForm
from lots.desk.recording import ActView
from lots.desk.tables.files import spreadsheet
from lots.desk.tables.registers import register_table
from lots.desk.words import language
from lots.models import Register
from lots.read.registers import counts, newest
from lots.record import registers
from lots.record.acts import Act, Receipt
from lots.record.registers import KINDS


@dataclass(frozen=True, slots=True)
class Shelf:
    """One register in the list of all."""

    table: str
    title: Any
    count: int
    url: str


def shelves(request: HttpRequest) -> HttpResponse:
    """Show all registers."""
    held = counts(KINDS[table] for table in REGISTERS)
    found = [Shelf(table, kind.title, held[table], reverse("registers-list", args=[table])) for table, kind in REGISTERS.items()]
    return render(request, "desk/registers.html", {"shelves": found})


def listing(request: HttpRequest, table: str) -> HttpResponse:
    """Show one register: the newest version of everything in it."""
    kind = REGISTERS.get(table)
    if kind is None:
        raise Http404
    enters = may(request.user, "registers-enter")
    made = register_table(table, list(newest(KINDS[table])), enters=enters)
    made.csv_url = reverse("registers-list-file", args=[table])
    RequestConfig(request, paginate={"per_page": 50}).configure(made)
    return render(request, "desk/registers_list.html", {"kind": kind, "table": made, "name": table, "enters": enters})


def listing_file(request: HttpRequest, table: str) -> HttpResponse:
    """Return one register as a file for a spreadsheet."""
    if table not in REGISTERS:
        raise Http404
    made = register_table(table, list(newest(KINDS[table])), enters=False)
    RequestConfig(request, paginate=False).configure(made)
    return spreadsheet(made, table)


class EnterView(ActView):
    """Enter a named thing, or a new version of one."""

    form_class = RegisterForm
    template_name = "desk/registers_enter.html"
    page = "registers-enter"
    door = "registers"
    has_live = False

    @cached_property
    def table(self) -> str:
        """The register."""
        name = str(self.kwargs["table"])
        if name not in REGISTERS:
            raise Http404
        return name

    @cached_property
    def stands(self) -> Register | None:
        """The version that stands; None where something new is entered."""
        code = "HOUSE" if self.table == "house" else self.kwargs.get("code")
        row = newest(KINDS[self.table]).filter(code=code).first() if code else None
        if row is None and self.kwargs.get("code"):
            raise Http404
        return row

    def options(self) -> dict[str, Any]:
        """Return the register and what stands in it."""
        return {"table": self.table, "stands": self.stands}

    def form(self, data: Any = None) -> RegisterForm:
        """Return the form; leaving goes back to the register."""
        made: RegisterForm = super().form(data)
        made.leave_url = reverse("registers-list", args=[self.table])
        return made

    def write(self, act: Act, form: RegisterForm) -> Receipt:
        """Write it into the register."""
        return registers.enter(act, table=self.table, code=form.entry_code, fields=form.values)

    def said(self, _receipt: Receipt, form: RegisterForm) -> str:
        """Return what was entered."""
        return _("%(register)s: %(code)s is entered.") % {"register": REGISTERS[self.table].title, "code": form.entry_code}

    def after(self, _receipt: Receipt, _form: RegisterForm) -> str:
        """Back to the register."""
        return reverse("registers-list", args=[self.table])

    def context(self) -> dict[str, Any]:
        """Return the register in words, its title in both languages."""
        with override("en" if language() == "ja" else "ja"):
            other_title = self.title()
        return {"kind": REGISTERS[self.table], "stands": self.stands, "title": self.title(), "other_title": other_title}

    def title(self) -> str:
        """Return what is entered: "Enter a scale", or "Scale S1"."""
        one = str(REGISTERS[self.table].one)
        return f"{one[:1].upper()}{one[1:]} {self.stands.code}" if self.stands else _("Enter a %(one)s") % {"one": one}
