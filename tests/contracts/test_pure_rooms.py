"""The pure rooms load in an interpreter in which importing Django fails."""

from __future__ import annotations

import subprocess
import sys
from pathlib import Path

from tests.contracts.rooms import ROOT, pure_sources

BARRED_RUN = """
import importlib, sys

class NoDjango:
    def find_spec(self, name, path=None, target=None):
        if name.split(".")[0].startswith("django"):
            raise ImportError(f"{name} is barred here")

sys.meta_path.insert(0, NoDjango())
sys.path.insert(0, sys.argv[1])
for name in sys.argv[2:]:
    importlib.import_module(name)
assert not any(name.split(".")[0] == "django" for name in sys.modules)
print(len(sys.argv) - 2)
"""


def load_with_django_barred(root: Path, modules: list[str]) -> subprocess.CompletedProcess[str]:
    command = [sys.executable, "-c", BARRED_RUN, str(root), *modules]
    return subprocess.run(command, capture_output=True, text=True, check=False, cwd=root)


def module_of(path: str) -> str:
    return path.removesuffix(".py").removesuffix("/__init__").replace("/", ".")


def test_pure_rooms_load_with_django_barred() -> None:
    modules = [module_of(file.path) for file in pure_sources()]
    run = load_with_django_barred(ROOT, modules)
    assert run.returncode == 0, run.stderr
    assert int(run.stdout) == len(modules) > 0


def test_a_room_that_needs_django_is_seen(tmp_path: Path) -> None:
    (tmp_path / "hidden.py").write_text("def load():\n    import django.utils.timezone\n\nload()\n", encoding="utf-8")
    run = load_with_django_barred(tmp_path, ["hidden"])
    assert run.returncode != 0
    assert "django.utils.timezone is barred here" in run.stderr or "django is barred here" in run.stderr
