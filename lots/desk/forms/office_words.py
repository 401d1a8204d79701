"""The registers of the office in words: labels of their fields, the answers to choose from, hints."""

from __future__ import annotations

from types import MappingProxyType

from django.utils.functional import Promise
from django.utils.translation import gettext_lazy as _

Words = str | Promise

OFFICE_LABELS: MappingProxyType[str, Words] = MappingProxyType({
    "party": _("Whose"), "use": _("What for"), "person": _("Person"), "text": _("The rule, in one or two sentences"),
    "text_ja": _("The rule in Japanese"), "codes_from": _("Where the code comes from"), "records": _("Which records"),
    "year_count": _("Years"), "since": _("Counted from"), "staff": _("Badge"), "stages": _("Stages"), "trained_on": _("Trained on"),
    "trained_by": _("Trained and authorised by"), "valid_until_on": _("Holds until"), "task": _("Task"),
    "phone": _("Telephone, day and night"), "deputy": _("Deputy"), "deputy_phone": _("Telephone of the deputy"),
    "tested_on": _("Last tried on"), "market": _("Market"), "authority": _("Authority"), "contact_line": _("How to reach it"),
    "checked_on": _("Checked on"),
})
OFFICE_STATES: MappingProxyType[str, Words] = MappingProxyType({
    "office": _("the office"), "bill to": _("where the bill goes"), "ship to": _("where the goods go"), "quality": _("quality"),
    "recall": _("recall, day and night"), "all records": _("all records"), "field": _("field work and leaf in"),
    "goods in": _("goods in"), "work in the mill": _("work in the mill"), "packs": _("packs"), "going out": _("going out"),
    "persons": _("names and addresses of persons"), "openings": _("openings of pack pages"), "entry": _("the day of the entry"),
    "best before": _("the best-before day of the packs"),
})
OFFICE_HINTS: MappingProxyType[str, Words] = MappingProxyType({
    "stages": _("Keys of stages with a space between, or ALL: harvest drying refining milling sieving packing dispatch counting."),
})
