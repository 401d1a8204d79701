"""The registers of certificates and of packaging in words."""

from __future__ import annotations

from types import MappingProxyType

from django.utils.functional import Promise
from django.utils.translation import gettext_lazy as _

Words = str | Promise

GOODS_LABELS: MappingProxyType[str, Words] = MappingProxyType({
    "number": _("Number of the certificate"), "issuer": _("Issued by"), "materials": _("Which goods it covers"),
    "holds_from_on": _("Holds from"), "holds_until_on": _("Holds until and with"), "file_sha256": _("Digest of its file (SHA-256)"),
})
GOODS_HINTS: MappingProxyType[str, Words] = MappingProxyType({
    "materials": _("Keys with a space between: fresh_leaf crude_leaf refined_leaf tub_powder sieved_powder bulk_powder."),
})
GOODS_STATES: MappingProxyType[str, Words] = MappingProxyType({
    "other": _("something else"), "lid": _("lid"), "label": _("label"), "absorber": _("oxygen absorber"), "carton": _("carton"),
})
