"""The registers of the field in words: labels of their fields, the answers to choose from, hints."""

from __future__ import annotations

from decimal import Decimal
from types import MappingProxyType

from django.utils.functional import Promise
from django.utils.translation import gettext_lazy as _

Words = str | Promise

FIELD_LABELS: MappingProxyType[str, Words] = MappingProxyType({
    "aspect": _("Slopes to the"), "slope_frac": _("Slope, per cent"), "state_from_on": _("State since"),
    "cover": _("How covers lie here"), "outline": _("Point or outline"), "side": _("On which side"),
    "distance_m": _("Distance, in metres"), "grows": _("What grows or stands there"), "kept_apart": _("How the two are kept apart"),
    "rows": _("In which rows, where several cultivars stand"), "buffer_m": _("Width of the buffer, in metres"),
})
FIELD_TYPED_IN: MappingProxyType[str, tuple[Decimal, str]] = MappingProxyType({"slope_frac": (Decimal("0.01"), "%")})
FIELD_STATES: MappingProxyType[str, Words] = MappingProxyType({
    "N": _("north"), "NE": _("north-east"), "E": _("east"), "SE": _("south-east"), "S": _("south"), "SW": _("south-west"),
    "W": _("west"), "NW": _("north-west"), "trellis": _("on a trellis"), "direct": _("laid on the bush"),
})
FIELD_HINTS: MappingProxyType[str, Words] = MappingProxyType({
    "outline": _("Latitude and longitude in degrees, one pair a line, such as 35.0112, 135.7681. One line is a point; an outline has "
                 "three corners or more, in order round the plot."),
})
