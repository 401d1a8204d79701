"""Names: what people call a lot, and the personal values behind commitments, as long as they are not erased."""

from __future__ import annotations

import json
from collections.abc import Iterable
from dataclasses import dataclass

from lots.codes.lots import parse_lot_code, print_form
from lots.models import Lot, PrivateValue


@dataclass(frozen=True, slots=True)
class LotName:
    """A lot as people name it: its public code, the maker's own reference where there is one, and its material."""

    code: str
    ref: str
    material: str

    @property
    def name(self) -> str:
        """The maker's reference, else the code as it is printed."""
        return self.ref or printed(self.code)


def printed(code: str) -> str:
    """Return a lot code as people read it; what is no code of ours stays as it is."""
    return print_form(code) if parse_lot_code(code) == code else code


def lot_name(lot: Lot) -> LotName:
    """Return the name of a lot."""
    return LotName(lot.code, lot.maker_ref, lot.material)


def opened(commitments: Iterable[str]) -> dict[str, str]:
    """Return the values behind commitments, in one query; what was erased is missing from the answer."""
    asked = {c for c in commitments if c}
    if not asked:
        return {}
    rows = PrivateValue.objects.filter(pk__in=asked).values_list("commitment", "value")
    return {commitment: plain(value) for commitment, value in rows}


def plain(value: str) -> str:
    """Return a sealed value as text: texts themselves, several values with commas between, a name before the rest."""
    found = json.loads(value)
    if isinstance(found, dict):
        return ", ".join(str(part) for _key, part in sorted(found.items(), key=lambda one: one[0] != "name") if part)
    return found if isinstance(found, str) else str(found)
