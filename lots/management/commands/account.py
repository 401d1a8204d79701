"""``manage.py account LOGIN --role clerk --badge G``: open an account; ``--until 2026-12-31`` lets it end by itself.

Outside the demo none exists until this runs.
"""

from __future__ import annotations

import datetime as dt
import getpass
from argparse import ArgumentParser
from typing import Any

from django.core.management.base import BaseCommand, CommandError

from lots.record.accounts import ROLES, open_account, open_for_a_while
from lots.record.errors import NotWritten


class Command(BaseCommand):
    """Parses, then calls `lots.record.accounts.open_account`."""

    help = "Opens an account with one or more roles and binds it to a badge. The password is asked for, or read from standard input."

    def add_arguments(self, parser: ArgumentParser) -> None:
        """Declare login, roles and badge."""
        parser.add_argument("login")
        parser.add_argument("--role", action="append", required=True, choices=ROLES)
        parser.add_argument("--badge", default="", help="the badge of the person, for accounts that record")
        parser.add_argument("--until", type=dt.date.fromisoformat, help="the last day on which the account opens, as 2026-12-31")
        parser.add_argument("--by", default="", help="the badge that enters a new one; the badge itself when left out")

    def handle(self, *_: Any, **options: Any) -> None:
        """Open the account."""
        password = getpass.getpass("Password (12 signs or more): ")
        try:
            if options["until"]:
                open_for_a_while(options["login"], password, options["until"], options["by"], options["role"])
            else:
                open_account(options["login"], password, options["role"], options["badge"], options["by"])
        except NotWritten as fault:
            raise CommandError(fault.sentence) from fault
        self.stdout.write(f"Account {options['login']} is open: {', '.join(options['role'])}.")
