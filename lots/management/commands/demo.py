"""``manage.py demo``: load the demo season once and say where to look."""

from __future__ import annotations

import socket
from argparse import ArgumentParser
from typing import Any

from django.conf import settings
from django.contrib.auth.models import User
from django.core.management.base import BaseCommand, CommandError

from lots.codes.links import pack_address
from lots.codes.packs import pack_code, print_form
from lots.exchange.demo import load_demo
from lots.exchange.season import BrokenSeason
from lots.management.progress import Progress
from lots.models import House, PackedUnit, PackSecret
from lots.record.accounts import open_account
from lots.record.errors import NotWritten

PASSWORD = "stone-and-leaf"  # the demo's own, printed on the screen; no account exists outside the demo
ACCOUNTS = (
    ("clerk", "D"), ("packing", "F"), ("quality", "C"), ("recall_lead", "B"), ("auditor", ""), ("administrator", "A"),
)
LOOK_AT = "R26-SG1"


class Command(BaseCommand):
    """Loads through `lots.exchange.demo`, opens the demo accounts, prints addresses."""

    help = "Loads the demo season into an empty book, opens the demo accounts and prints where to look. A book that has entries is kept."

    def add_arguments(self, parser: ArgumentParser) -> None:
        """Declare the port that will be served."""
        parser.add_argument("--port", type=int, default=8000)

    def handle(self, *_: Any, **options: Any) -> None:
        """Load, open accounts, print."""
        fixtures = settings.BASE_DIR / "fixtures"
        with Progress(quiet=options["verbosity"] == 0, always=True) as progress:
            try:
                new = load_demo(
                    fixtures / "demo_season.json", fixtures / "demo_desk.json",
                    lambda done, whole: progress.tell("loading the season", done, whole),
                )
            except (BrokenSeason, NotWritten) as fault:
                raise CommandError(f"The demo was not loaded. {str(fault).rstrip('.')}.") from fault
        if not House.objects.filter(invented=True).exists():
            raise CommandError("This book is not the demo's. It is kept as it was, and no account was opened in it.")
        for role, badge in ACCOUNTS:
            login = role.replace("_", "-")
            if not User.objects.filter(username=login).exists():
                open_account(login, PASSWORD, [role], badge, "A")
        self.stdout.write("\n".join(self.words(options["port"], new=new)))

    def words(self, port: int, *, new: bool) -> list[str]:
        """Return what the demo prints."""
        base = f"http://127.0.0.1:{port}"
        unit = PackedUnit.objects.filter(lot__maker_ref="K26-06", retained=False).select_related("lot").order_by("pk").first()
        return [
            "", "The demo season is loaded." if new else "The book is kept as it was.",
            f"  The desk       {base}/",
            f"  Accounts       {', '.join(role.replace('_', '-') for role, _ in ACCOUNTS)}; password of each: {PASSWORD}",
            f"  A lot to see   {LOOK_AT}: {base}/lot/{LOOK_AT}/",
            *([f"  A pack         {self.pack(unit, base)}"] if unit else []),
            f"  Invented data. This machine is {socket.gethostname()}; stop with Ctrl+C.", "",
        ]

    def pack(self, unit: PackedUnit, base: str) -> str:
        """Return the address of one pack."""
        code = pack_code(unit.run_no, unit.first_no + 411, bytes(PackSecret.objects.get(pk=unit.run_no).secret))
        return f"{pack_address(base, code)}   ({print_form(code)})"
