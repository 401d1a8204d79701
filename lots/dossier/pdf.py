"""A page of ours as PDF: own files only, embedded faces, the same bytes from the same record."""

from __future__ import annotations

import logging
import threading
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from datetime import datetime
from pathlib import Path
from typing import Any, Self
from urllib.parse import unquote, urlsplit

import pydyf
from django.conf import settings
from django.template.loader import render_to_string
from django.utils.translation import get_language
from django.utils.translation import gettext as _
from weasyprint import CSS, HTML, Document
from weasyprint.text.fonts import FontConfiguration
from weasyprint.urls import FatalURLFetchingError, URLFetcher, URLFetcherResponse

from lots.dossier import typefaces
from lots.dossier.faults import PaperFault

STYLE = "css/paper.css"
#: Tagged and archival; nobody outside has certified it, so no paper says so.
VARIANT = "pdf/a-3a"

Finisher = Callable[[Document, pydyf.PDF], None]


@dataclass(frozen=True, slots=True)
class Head:
    """What a paper says of itself: title, and the moment of the record that it shows (never of the printing)."""

    title: str
    as_of_at: datetime


class OwnFiles(URLFetcher):
    """Reads style sheets and pictures of ours and the files of the faces; anything else ends the paper."""

    def __init__(self) -> None:
        super().__init__(allowed_protocols={"file"}, allow_redirects=False, fail_on_errors=True)
        self.files = frozenset(face.path.resolve() for face in typefaces.faces())
        self.folder = (Path(settings.BASE_DIR) / "static").resolve()

    def fetch(self, url: str, headers: Mapping[str, str] | None = None) -> URLFetcherResponse:
        """Return a file of ours; raises FatalURLFetchingError for everything else."""
        parts = urlsplit(url)
        path = Path(unquote(parts.path)).resolve()
        ours = path in self.files or path.is_relative_to(self.folder)
        if parts.scheme != "file" or parts.netloc not in {"", "localhost"} or not ours:
            raise FatalURLFetchingError(f"{url[:200]} is no file of ours.")
        return super().fetch(path.as_uri(), dict(headers or {}))


class Complaints(logging.Handler):
    """Gathers what the renderer complains of in this thread, because a paper with a complaint is not handed out."""

    def __init__(self) -> None:
        super().__init__(logging.WARNING)
        self.said: list[str] = []
        self._thread_no = threading.get_ident()

    def emit(self, record: logging.LogRecord) -> None:
        """Keep one complaint."""
        if record.thread == self._thread_no:
            self.said.append(record.getMessage())

    def __enter__(self) -> Self:
        """Begin to listen."""
        logging.getLogger("weasyprint").addHandler(self)
        return self

    def __exit__(self, *_fault: object) -> None:
        """Stop listening."""
        logging.getLogger("weasyprint").removeHandler(self)


def paper(template: str, context: Mapping[str, Any], head: Head, finisher: Finisher | None = None) -> bytes:
    """Return a template of ``paper/`` as PDF in the language that is switched on. Raises PaperFault."""
    return printed(page_of(template, context, head), finisher)


def page_of(template: str, context: Mapping[str, Any], head: Head) -> str:
    """Return the page as HTML, with the head that every paper carries."""
    own = {"head": head, "language": (get_language() or "en")[:2]}
    return typefaces.settable(render_to_string(template, {**context, **own}))


def printed(page: str, finisher: Finisher | None = None) -> bytes:
    """Return a whole HTML page as PDF; the page can name no address but those of our own files. Raises PaperFault."""
    fetcher, fonts = OwnFiles(), FontConfiguration()
    with Complaints() as complaints:
        try:
            html = HTML(string=page, url_fetcher=fetcher)
            typefaces.refuse_missing("".join(html.etree_element.itertext()))
            styles = [
                CSS(string=typefaces.font_face_rules(), url_fetcher=fetcher, font_config=fonts),
                CSS(filename=Path(settings.BASE_DIR) / "static" / STYLE, url_fetcher=fetcher, font_config=fonts),
            ]
            document = html.render(stylesheets=styles, font_config=fonts, pdf_variant=VARIANT)
            made: bytes = document.write_pdf(pdf_variant=VARIANT, finisher=finisher)
        except FatalURLFetchingError as fault:
            raise PaperFault(_("The paper asked for something that is no file of ours: %(fault)s") % {"fault": fault}) from fault
    refuse_strangers(document, complaints.said)
    return made


def refuse_strangers(document: Document, complaints: list[str]) -> None:
    """Raise PaperFault where a face that is not ours was used, or the renderer complained."""
    strangers = sorted({font.family for font in document.fonts.values()} - set(typefaces.STEMS))
    if strangers:
        raise PaperFault(_("The paper would have been set in %(faces)s, which is not its face.") % {"faces": ", ".join(strangers)})
    if complaints:
        raise PaperFault(_("The paper could not be set as it should be: %(fault)s") % {"fault": complaints[0][:300]})
