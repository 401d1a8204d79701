"""A table of limits as a file: all rows in one act, or none and every fault by its row."""

from __future__ import annotations

from typing import Any

from django.urls import reverse
from django.utils.translation import ngettext

from lots.desk.forms.release import LimitFileForm
from lots.desk.recording import ActView
from lots.exchange.limit_files import COLUMNS, limit_lines
from lots.models import Limit
from lots.record import limit_tables
from lots.record.acts import Act, Receipt


class LimitFileView(ActView):
    """Put a table of limits into the book."""

    form_class = LimitFileForm
    template_name = "desk/limit_files.html"
    page = "release-limits"
    door = "release"
    has_live = False

    def options(self) -> dict[str, Any]:
        """Return the file that came."""
        return {"files": self.request.FILES or None}

    def write(self, act: Act, form: LimitFileForm) -> Receipt:
        """Read the file and write its rows down."""
        return limit_tables.load(act, rows=limit_lines(form.cleaned_data["table"]))

    def said(self, receipt: Receipt, _form: LimitFileForm) -> str:
        """Return how many rows entered."""
        count = Limit.objects.filter(entry=receipt.seq).count()
        return ngettext("%(count)d limit is in the book.", "%(count)d limits are in the book.", count) % {"count": count}

    def after(self, _receipt: Receipt, _form: LimitFileForm) -> str:
        """On to the table."""
        return reverse("registers-list", args=["limit_row"])

    def context(self) -> dict[str, Any]:
        """Return the columns of the file."""
        return {"columns": COLUMNS}
