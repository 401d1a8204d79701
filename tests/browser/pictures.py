"""The README's pictures: `python -m tests.browser.pictures` loads the demo season into a book of its own, serves it on a
free port, and photographs the real screens into static/img/screens/, small enough for a repository."""

from __future__ import annotations

import io
import os
import re
import socket
import subprocess
import sys
import tempfile
import time
import urllib.request
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from pathlib import Path

import django
from PIL import Image
from playwright.sync_api import Browser, sync_playwright

from tests.browser import chromium

ROOT = Path(__file__).resolve().parents[2]
TARGET = ROOT / "static" / "img" / "screens"
LOT = "R26-SG1"
LONGEST_START_S = 30


@dataclass(frozen=True)
class Picture:
    """One picture: file name, screen (a name of the address book, or "pack"), and how it is looked at."""

    file: str
    screen: str
    sight: str = "desktop"
    of_lot: bool = False
    account: str = "administrator"


PICTURES = (
    Picture("today", "today"),
    Picture("balance", "balance"),
    Picture("season", "season"),
    Picture("lot", "lot", of_lot=True),
    Picture("milling-phone", "milling", sight="phone"),
    Picture("today-dark", "today", sight="desktop-dark"),
    Picture("pack-phone", "pack", sight="phone"),
)


def prepare(book: Path, port: int) -> str:
    """Loads the demo season into ``book`` and returns the address of the pack that the demo names."""
    os.environ |= {
        "DJANGO_SETTINGS_MODULE": "ledger.settings",
        "DJANGO_ALLOW_ASYNC_UNSAFE": "true",  # the browser's driver keeps an event loop in this thread
        "DATABASE_URL": f"sqlite:///{book}",
        "LEDGER_SECRET_KEY": "only-for-the-pictures-of-invented-data-0123456789",
        "LEDGER_ALLOWED_HOSTS": "127.0.0.1",
        "LEDGER_PUBLIC_ADDRESS": f"http://127.0.0.1:{port}",
        "LEDGER_HTTPS": "0",
        "LEDGER_BIND": f"127.0.0.1:{port}",
        "LEDGER_STATIC_DIR": str(book.parent / "static"),
    }
    django.setup()
    from django.core.management import call_command

    call_command("migrate", verbosity=0)
    call_command("collectstatic", interactive=False, verbosity=0)
    told = io.StringIO()
    call_command("demo", port=port, stdout=told)
    found = re.search(r"http://\S+/p/\S+", told.getvalue())
    if found is None:
        raise SystemExit("The demo named no pack: " + told.getvalue())
    return found.group()


@contextmanager
def served(port: int) -> Iterator[str]:
    """The site on ``port`` for the time of the block."""
    command = [sys.executable, "-m", "gunicorn", "--config", "ledger/deploy/gunicorn.conf.py", "ledger.wsgi"]
    server = subprocess.Popen(command, cwd=ROOT)
    address = f"http://127.0.0.1:{port}"
    try:
        wait_for(f"{address}/sign-in/")
        yield address
    finally:
        server.terminate()
        server.wait(LONGEST_START_S)


def wait_for(url: str) -> None:
    until = time.monotonic() + LONGEST_START_S
    while time.monotonic() < until:
        try:
            urllib.request.urlopen(url, timeout=5).close()  # noqa: S310  # our own address
        except urllib.error.HTTPError:
            return
        except OSError:
            time.sleep(0.2)
        else:
            return
    raise SystemExit(f"Nothing answered at {url} within {LONGEST_START_S} s.")


def photograph(browser: Browser, picture: Picture, address: str, pack: str) -> bytes:
    from django.contrib.auth.models import User
    from django.urls import reverse

    from tests.browser.sights import SIGHTS, context_for, sign_in

    context = context_for(browser, next(s for s in SIGHTS if s.name == picture.sight), address)
    page = context.new_page()
    if picture.screen == "pack":
        url = pack
    else:
        sign_in(page, User.objects.get(username=picture.account), address)
        url = reverse(picture.screen, args=[LOT] if picture.of_lot else [])
    answer = page.goto(url)
    if answer is None or not answer.ok:
        raise SystemExit(f"{url} could not be photographed: it answered {answer.status if answer else 'nothing'}.")
    shot = page.screenshot()
    context.close()
    return shot


def save(shot: bytes, path: Path) -> None:
    """As a PNG of at most 128 colours: paper and ink need no more, and the file stays small."""
    Image.open(io.BytesIO(shot)).convert("RGB").quantize(128).save(path, optimize=True)


def main() -> None:
    with socket.create_server(("127.0.0.1", 0)) as free:
        port = free.getsockname()[1]
    TARGET.mkdir(parents=True, exist_ok=True)
    with tempfile.TemporaryDirectory() as folder:
        pack = prepare(Path(folder) / "book.sqlite3", port)
        with served(port) as address, sync_playwright() as driver:
            browser = driver.chromium.launch(executable_path=chromium.require(), args=["--no-sandbox", "--disable-gpu"])
            for picture in PICTURES:
                path = TARGET / f"{picture.file}.png"
                save(photograph(browser, picture, address, pack), path)
                print(f"{path.relative_to(ROOT)}  {path.stat().st_size // 1000} kB")
            browser.close()


if __name__ == "__main__":
    main()
