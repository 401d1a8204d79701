"""The faces of the papers: four files of one folder, and whether they have every sign that is to be set."""

from __future__ import annotations

import unicodedata
from dataclasses import dataclass
from functools import lru_cache
from pathlib import Path

from django.conf import settings
from django.utils.translation import gettext as _
from fontTools.ttLib import TTFont, TTLibError

from lots.dossier.faults import PaperFault

#: Text, and columns in which every sign must be as wide as the next.
TEXT, COLUMNS = "BIZ UDPGothic", "BIZ UDGothic"
STEMS = {TEXT: "BIZUDPGothic", COLUMNS: "BIZUDGothic"}
WEIGHTS = {"Regular": 400, "Bold": 700}
SIGNS_NAMED_MAX = 12
# Signs without a shape of their own; the layout uses them up and asks no face for them.
UNSET = frozenset("\n\t\r\u200b\u2060")


@dataclass(frozen=True, slots=True)
class Face:
    """One file of a face: the family's name in our style sheets, its weight, its file."""

    family: str
    weight: int
    path: Path


def faces() -> tuple[Face, ...]:
    """Return the four files; raises PaperFault where the folder lacks one.

    Where a folder holds another face, its regular and bold files stand in for both families.
    """
    folder = Path(settings.LEDGER_PAPER_FONT_DIR)
    return tuple(Face(family, WEIGHTS[cut], file_of(folder, family, cut)) for family in (TEXT, COLUMNS) for cut in WEIGHTS)


def file_of(folder: Path, family: str, cut: str) -> Path:
    """Return the file of one cut: the family's own, else the first of its cut in the folder."""
    own = folder / f"{STEMS[family]}-{cut}.ttf"
    found = own if own.is_file() else next(iter(sorted(folder.glob(f"*-{cut}.ttf"))), None)
    if found is None:
        raise PaperFault(_(
            "The paper's face is missing: no file for %(cut)s is in %(folder)s. Install the package fonts-morisawa-bizud-gothic, "
            "or name another folder in LEDGER_PAPER_FONT_DIR."
        ) % {"cut": cut, "folder": folder})
    return found


@lru_cache(maxsize=8)
def signs_of(path: Path) -> frozenset[int]:
    """Return the code points that a file has a shape for."""
    try:
        with TTFont(path, lazy=True) as font:
            return frozenset(font.getBestCmap() or ())
    except (TTLibError, OSError) as fault:
        raise PaperFault(_("The face in %(file)s cannot be read: %(fault)s.") % {"file": path, "fault": fault}) from fault


def refuse_missing(text: str) -> None:
    """Raise PaperFault where one of the faces lacks a sign of the text: a box on paper would hide what stands there."""
    wanted = {ord(sign) for sign in set(text) - UNSET}
    missing = sorted(wanted - frozenset.intersection(*(signs_of(face.path) for face in faces())))
    if missing:
        named = ", ".join(named_sign(point) for point in missing[:SIGNS_NAMED_MAX])
        raise PaperFault(_(
            "The paper's face has no shape for %(signs)s. Write it in other signs in the register, or name a folder with another "
            "face in LEDGER_PAPER_FONT_DIR."
        ) % {"signs": named})


def named_sign(point: int) -> str:
    """Return a sign as a person can find it again: itself, and its number."""
    return f"“{chr(point)}” (U+{point:04X})" if chr(point).isprintable() else f"U+{point:04X}"


def settable(text: str) -> str:
    """Return text without what has no shape: control signs, and signs that turn the direction of reading around.

    Nothing that a person can read is taken out; what is taken out could make one name read as another.
    """
    return "".join(sign for sign in text if sign in UNSET or unicodedata.category(sign) not in {"Cc", "Cf", "Cs", "Co", "Cn"})


def font_face_rules() -> str:
    """Return the rules that bind the families of our style sheets to the files."""
    return "\n".join(
        f'@font-face {{ font-family: "{face.family}"; font-weight: {face.weight}; src: url("{face.path.as_uri()}") }}' for face in faces()
    )
