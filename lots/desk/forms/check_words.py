"""The registers of checks in words: test pieces, check weights, rooms, stones."""

from __future__ import annotations

from decimal import Decimal
from types import MappingProxyType

from django.utils.functional import Promise
from django.utils.translation import gettext_lazy as _

Words = str | Promise

CHECK_LABELS: MappingProxyType[str, Words] = MappingProxyType({
    "metal": _("Metal"), "size_mm": _("Size, in millimetres"), "line": _("Machine whose output goes through it"),
    "nominal_mg": _("Nominal mass, in kilograms"), "weight_class": _("Class of the weight"),
    "certificate_no": _("Number of its certificate"),
    "valid_until_on": _("Certificate valid until"), "least_c": _("Lowest temperature, in °C"), "most_c": _("Highest temperature, in °C"),
    "least_rh_frac": _("Lowest humidity, per cent"), "most_rh_frac": _("Highest humidity, per cent"),
    "has_stones": _("The stones run there"), "part": _("Part"), "made_on": _("Made on"), "diameter_mm": _("Diameter, in millimetres"),
})
CHECK_TYPED_IN: MappingProxyType[str, tuple[Decimal, str]] = MappingProxyType({
    "nominal_mg": (Decimal(1_000_000), "kg"), "least_rh_frac": (Decimal("0.01"), "%"), "most_rh_frac": (Decimal("0.01"), "%"),
})
CHECK_STATES: MappingProxyType[str, Words] = MappingProxyType({
    "steamer": _("steamer"), "dryer": _("dryer"), "cutter": _("cutter"), "magnet": _("magnet"),
    "detector": _("metal detector"), "upper": _("upper stone"), "lower": _("lower stone"), "pin": _("pin"),
})
CHECK_HINTS: MappingProxyType[str, Words] = MappingProxyType({
    "metal": _("iron, stainless steel, brass …"), "weight_class": _("Such as F2, M1."),
})
