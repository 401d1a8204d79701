"""``python -m tests.benchmarks``: build two books, ten times apart, measure both, print the table; exit 1 beyond a limit."""

from __future__ import annotations

import os
import sys
import tempfile
from pathlib import Path

SAMPLES = int(os.environ.get("LEDGER_BENCH_SAMPLES", "80"))
HARVESTS = int(os.environ.get("LEDGER_BENCH_HARVESTS", "100"))


def main() -> int:
    if "DATABASE_URL" not in os.environ:
        folder = tempfile.TemporaryDirectory(prefix="ledger-bench-")
        os.environ["DATABASE_URL"] = f"sqlite:///{Path(folder.name) / 'bench.sqlite3'}"
    os.environ["DJANGO_SETTINGS_MODULE"] = "tests.settings"
    import django

    django.setup()
    from django.conf import settings

    settings.ROOT_URLCONF = "tests.benchmarks.urls"
    return report()


def report() -> int:
    """Measure at 1 x and 10 x and print what came out."""
    from django.core.management import call_command
    from django.db import connection

    from lots.models import Step
    from tests.benchmarks.generator import Size, generate
    from tests.benchmarks.measures import GROWTH_LIMIT, LIMITS, all_figures, engine

    tables, steps = [], []
    for factor in (1, 10):
        empty()
        call_command("migrate", verbosity=0)
        generate(Size(HARVESTS, HARVESTS * 5 // 2).times(factor))
        steps.append(Step.objects.count())
        tables.append({f.name: f for f in all_figures(SAMPLES)})
    print(f"{connection.display_name}, {steps[0]:,} and {steps[1]:,} steps, medians of {SAMPLES} samples or more, floor and measure in turn")
    print(f"{'':38}{'floor':>9}{'real':>9}{'ratio':>8}{'10 x':>9}{'10 x':>9}{'ratio':>8}{'growth':>8}{'limit':>7}")
    beyond = 0
    for name, limits in LIMITS.items():
        one, ten = tables[0][name], tables[1][name]
        growth = ten.ratio / one.ratio
        is_beyond = max(one.ratio, ten.ratio) > limits[engine()] or growth > GROWTH_LIMIT
        beyond += is_beyond
        print(f"{name:38}{one.floor_ms:7.3f}ms{one.real_ms:7.3f}ms{one.ratio:8.2f}{ten.floor_ms:7.3f}ms{ten.real_ms:7.3f}ms{ten.ratio:8.2f}"
              f"{growth:8.2f}{limits[engine()]:7.1f}{'  beyond' if is_beyond else ''}")
    return 1 if beyond else 0


def empty() -> None:
    """Start from nothing: another file on SQLite, another schema on PostgreSQL."""
    from django.db import connection

    if connection.vendor == "postgresql":
        with connection.cursor() as cursor:
            cursor.execute("DROP SCHEMA public CASCADE")
            cursor.execute("CREATE SCHEMA public")
        connection.close()
        return
    connection.close()
    for path in Path(connection.settings_dict["NAME"]).parent.glob(Path(connection.settings_dict["NAME"]).name + "*"):
        path.unlink()


if __name__ == "__main__":
    sys.exit(main())
