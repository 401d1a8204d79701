"""The words of all labels against their products: what each says that does not fit."""

from __future__ import annotations

from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.utils.translation import gettext as _
from django.views.decorators.http import require_safe

from lots.desk.saying import Said
from lots.desk.ways import way
from lots.desk.words import joined, language
from lots.models import LabelVersion
from lots.quality.label_words import unknown_claims
from lots.read.label_words import label_findings, label_words
from lots.read.names import opened
from lots.read.registers import in_force
from lots.trade.units import date_text
from lots.trade.weighing import Verdict


@require_safe
def label_words_checked(request: HttpRequest) -> HttpResponse:
    """Show every label in use with its findings."""
    labels = list(in_force(LabelVersion).select_related("product", "checked_by"))
    names = opened(row.checked_by.name for row in labels if row.checked_by)
    return render(request, "desk/label_words.html", {"labels": [label_entry(row, names) for row in labels]})


def label_entry(row: LabelVersion, names: dict[str, str]) -> Said:
    """Return one label with what its words promise too much."""
    found = [finding.text(language()) for finding in label_findings(row)]
    strange = unknown_claims(label_words(row))
    ground = _("The book cannot show: %(claims)s. Keep the ground with the label.") % {"claims": _(", ").join(strange)} if strange else ""
    since = date_text(row.valid_from_at.date(), language())
    by = names.get(row.checked_by.name, row.checked_by.code) if row.checked_by else ""
    signed = _("Checked by %(name)s, in use since %(day)s.") % {"name": by, "day": since} if by else ""
    return Said(
        what=_("%(label)s, %(name)s, version %(version)s.") % {"label": row.code, "name": row.name, "version": row.version},
        sentence=joined([*found, ground, signed]), side=row.product.code, verdict=Verdict.LOOK if found else Verdict.ADDS_UP,
        word=_("look") if found else _("fits"), href=way("registers-enter", "label_version", row.code), do=_("Enter a new version"),
    )
