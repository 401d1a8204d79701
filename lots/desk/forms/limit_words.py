"""The registers of limits and release rules in words: labels of their fields, the answers to choose from, hints."""

from __future__ import annotations

from types import MappingProxyType

from django.utils.functional import Promise
from django.utils.translation import gettext_lazy as _

Words = str | Promise

LIMIT_LABELS: MappingProxyType[str, Words] = MappingProxyType({
    "market": _("Market"), "parameter": _("What is limited"), "material": _("For what, as the law says it"), "basis": _("Basis"),
    "bound": _("At most or at least"), "value": _("Limit"), "unit": _("Unit"), "clause": _("Law or standard, with its clause"),
    "read_in": _("Where it was read"), "caution": _("Caution"), "valid_from_on": _("Holds from"), "valid_to_on": _("Holds until"),
    "informs": _("Only informs, stops nothing"), "two_persons": _("A second person confirms"),
    "others_results": _("Whoever alone recorded the results does not release"),
    "before_dispatch": _("Nothing goes out before it is released"), "consignees": _("For which consignees"),
})
LIMIT_STATES: MappingProxyType[str, Words] = MappingProxyType({
    "as sold": _("as sold"), "dry": _("on dry mass"), "infusion": _("on the infusion"), "at most": _("at most"), "at least": _("at least"),
    "mg/kg": "mg/kg", "ug/kg": "µg/kg", "g/kg": "g/kg", "g/100 g": "g/100 g", "Bq/kg": "Bq/kg", "um": "µm", "CFU/g": _("CFU/g"),
    "in 25 g": _("in 25 g"), "% of ash": _("per cent of the ash"), "ratio": _("ratio"), "value": _("a value"),
    "below LOQ": _("below its limit of quantification"), "detected": _("detected, no value"), "not detected": _("not detected"),
})
LIMIT_HINTS: MappingProxyType[str, Words] = MappingProxyType({
    "consignees": _("Codes of consignees with a space between; empty: everybody."),
    "value": _("A figure with a point, such as 0.75."),
    "checked_by": _("The second pair of eyes. Empty: not yet checked."),
})
