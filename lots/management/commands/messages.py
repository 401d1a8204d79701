"""Bring the catalogues of words up to date with the sources."""

from __future__ import annotations

from argparse import ArgumentParser
from typing import Any

from django.conf import settings
from django.core.management.base import BaseCommand, CommandError

from lots.management.catalogue import Change, up_to_date


class Command(BaseCommand):
    """Finds every sentence that is marked for translation and writes the catalogue of each language but English."""

    help = "Brings the catalogues of words up to date with the sources; --check only looks."
    requires_system_checks = ()

    def add_arguments(self, parser: ArgumentParser) -> None:
        """Take the one switch."""
        parser.add_argument("--check", action="store_true", help="write nothing; fail where the file is behind the sources or lacks words")

    def handle(self, *_: Any, **options: Any) -> None:
        """Bring each catalogue up to date, or look whether it is, and say what is missing."""
        behind = False
        for language in (code for code, _name in settings.LANGUAGES if code != "en"):
            path = settings.LOCALE_PATHS[0] / language / "LC_MESSAGES" / "django.po"
            change = up_to_date(settings.BASE_DIR, path, language)
            self.tell(language, change)
            behind |= bool(change.missing) or not path.is_file() or path.read_bytes() != change.file
            if not options["check"]:
                path.parent.mkdir(parents=True, exist_ok=True)
                path.write_bytes(change.file)
        if behind and options["check"]:
            raise CommandError("The catalogue is behind the sources. Run make messages, type the words that are missing, run it again.")

    def tell(self, language: str, change: Change) -> None:
        """Say which sentences are gone and which have no words."""
        for words in change.dropped:
            self.stdout.write(f"{language}: no longer in the sources: {words}")
        for words in change.missing:
            self.stdout.write(f"{language}: without words: {words}")
        self.stdout.write(f"{language}: {change.whole} sentences, {len(change.missing)} without words.")
