"""Pictures of codes, for a browser that cannot read them itself."""

from __future__ import annotations

import io

import pytest
from django.test import Client
from PIL import Image

from lots.codes.symbols import qr_modules
from tests.desk.conftest import Hands

pytestmark = pytest.mark.django_db
URL = "/read-symbol/"


def picture(text: str, form: str = "JPEG") -> bytes:
    modules = qr_modules(text)
    image = Image.new("L", (len(modules) + 8, len(modules) + 8), 255)
    for y, row in enumerate(modules):
        for x, dark in enumerate(row):
            image.putpixel((x + 4, y + 4), 0 if dark else 255)
    out = io.BytesIO()
    image.resize((image.width * 8, image.height * 8), Image.Resampling.NEAREST).save(out, form)
    return out.getvalue()


def test_a_code_is_read(clerk: Client) -> None:
    answer = clerk.post(URL, picture("R260001A8"), content_type="image/jpeg")
    assert answer.json() == {"codes": ["R260001A8"]}
    assert clerk.post(URL, picture("SP4", "PNG"), content_type="image/png").json() == {"codes": ["SP4"]}


@pytest.mark.parametrize("body", [b"no picture", b"\xff\xd8\xff\xe0 broken", picture("R260001A8")[:200]])
def test_what_is_no_picture_has_no_code(clerk: Client, body: bytes) -> None:
    assert clerk.post(URL, body, content_type="image/jpeg").json() == {"codes": []}


def test_a_picture_without_a_code(clerk: Client) -> None:
    out = io.BytesIO()
    Image.new("L", (200, 200), 128).save(out, "JPEG")
    assert clerk.post(URL, out.getvalue(), content_type="image/jpeg").json() == {"codes": []}


def test_a_picture_that_is_too_large(clerk: Client) -> None:
    out = io.BytesIO()
    Image.new("1", (5_000, 10)).save(out, "PNG")
    assert clerk.post(URL, out.getvalue(), content_type="image/png").json() == {"codes": []}


def test_only_pictures_and_only_by_sending(clerk: Client, hands: Hands) -> None:
    assert clerk.post(URL, b"{}", content_type="application/json").status_code == 415
    assert clerk.get(URL).status_code == 405
    assert Client().post(URL, b"", content_type="image/jpeg").status_code == 302
