"""Rules that a drawing carries onto paper, where the page's own sheet does not reach into it: black on white, nothing else."""

from __future__ import annotations

#: The face of papers, with the same words in both languages.
FACE = "BIZ UDPGothic"
_RULES = (
    "text{{font-family:'{face}',sans-serif;font-size:15px;fill:#000}}"
    ".t-b{{font-weight:700}}.t-s{{font-size:13px;fill:#222}}.t-l{{font-weight:700;font-size:19px}}"
    ".flow{{fill:#eee;stroke:#444;stroke-width:1.25}}.hat,.ln1{{stroke:#444;stroke-width:1.25}}.ln1{{fill:none}}"
    ".loss{{fill:#444}}.ink{{fill:#000}}.ln{{stroke:#000;stroke-width:2;fill:none}}.gl{{stroke:#999;stroke-width:1;fill:none}}"
    ".usual{{stroke:#444;stroke-width:1.5;stroke-dasharray:3 4;fill:none}}"
    ".miss{{stroke:#000;stroke-width:2;stroke-dasharray:6 4;fill:none}}"
    ".edge{{fill:none;stroke:#000;stroke-width:2}}.may{{stroke-dasharray:14 7;stroke-width:2.5}}"
    ".out{{stroke-dasharray:1 7;stroke-linecap:round;stroke-width:2.5}}"
    ".box{{fill:#fff;stroke:#444;stroke-width:1.5}}.box2{{fill:none;stroke:#000;stroke-width:1.5}}"
    ".thick{{stroke:#000;stroke-width:3}}"
)


def on_paper(face: str = FACE) -> str:
    """The style element for a drawing on paper, set in ``face``. Raises ValueError for a face that is not a plain name."""
    if not all(sign.isalnum() or sign in " -" for sign in face):
        raise ValueError(f"The face {face!r} is not a plain name.")
    return f"<style>{_RULES.format(face=face)}</style>"
