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
from collections.abc import Iterator, Mapping
from contextlib import contextmanager
from dataclasses import dataclass, field, replace
from pathlib import Path

import django
from PIL import Image
from playwright.sync_api import Browser, Page, sync_playwright

from tests.browser import chromium

ROOT = Path(__file__).resolve().parents[2]
TARGET = ROOT / "static" / "img" / "screens"
LOT, PACKS, PAIR = "R26-SG1", "K26-06", "SP2"
LONGEST_START_S = 30
BYTES_MOST = 120_000
COLOURS = (256, 192, 128, 96, 64, 48)


@dataclass(frozen=True)
class Picture:
    """One picture: file name, screen (a name of the address book, or "pack"), how it is looked at, and how much of it.

    ``asked`` stands behind the address, ``typed`` is filled in by hand; then the picture waits for the live part.
    """

    file: str
    screen: str
    sight: str = "desktop"
    height: int = 1240
    width: int = 0
    args: tuple[str, ...] = ()
    asked: str = ""
    typed: Mapping[str, str] = field(default_factory=dict)


PICTURES = (
    Picture("today", "today", height=1210),
    Picture("stones", "milling", height=1290),
    Picture("balance", "balance", height=1160),
    Picture("season", "season", height=1560),
    Picture("trace", "trace", height=1440, width=1360, asked=f"?code={PACKS}"),
    Picture("lot", "lot", height=1240, args=(LOT,)),
    Picture("tub-phone-dark", "milling-tub", sight="phone-dark", height=1120, asked=f"?pair={PAIR}",
            typed={"tub_mg": "0.923", "moisture": "5.1", "ground_h": "23"}),
    Picture("pack-phone", "pack", sight="phone", height=1120),
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

    seen = next(sight for sight in SIGHTS if sight.name == picture.sight)
    context = context_for(browser, replace(seen, width=picture.width or seen.width, height=picture.height), address)
    page = context.new_page()
    if picture.screen == "pack":
        url = pack
    else:
        sign_in(page, User.objects.get(username="administrator"), address)
        url = reverse(picture.screen, args=picture.args) + picture.asked
    answer = page.goto(url)
    if answer is None or not answer.ok:
        raise SystemExit(f"{url} could not be photographed: it answered {answer.status if answer else 'nothing'}.")
    fill(page, picture.typed)
    shot = page.screenshot()
    context.close()
    return shot


def fill(page: Page, typed: Mapping[str, str]) -> None:
    """Type as a hand does, unfolding what is folded; then wait for what the page has to say."""
    if not typed:
        return
    with page.expect_response("**/live/"):
        for name, text in typed.items():
            page.evaluate("name => document.getElementsByName(name)[0].closest('details')?.setAttribute('open', '')", name)
            page.fill(f"[name={name}]", text)
            basis = page.locator(f"[name={name}_basis][value=wet]")
            if basis.count():
                basis.check(force=True)
    page.evaluate("document.querySelector('details.seldom')?.removeAttribute('open'); scrollTo(0, 0)")
    page.locator(".live .say").wait_for()


def save(shot: bytes, path: Path) -> None:
    """As a PNG of few colours, as many as the size allows: paper and ink need no more, and the repository stays small."""
    picture = Image.open(io.BytesIO(shot)).convert("RGB")
    for colours in COLOURS:
        picture.quantize(colours, method=Image.Quantize.MAXCOVERAGE, dither=Image.Dither.NONE).save(path, optimize=True)
        if path.stat().st_size <= BYTES_MOST:
            return
    raise SystemExit(f"{path.name} is {path.stat().st_size} bytes, more than {BYTES_MOST}: show less of the screen.")


def main() -> None:
    with socket.create_server(("127.0.0.1", 0)) as free:
        port = free.getsockname()[1]
    TARGET.mkdir(parents=True, exist_ok=True)
    for old in TARGET.glob("*.png"):
        old.unlink()
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
