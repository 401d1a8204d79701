#!/usr/bin/env python3
"""Entry of every command: `manage.py help` lists them."""

import os
import sys

from django.core.management import execute_from_command_line


def main() -> None:
    """Run the command named on the command line with the settings of the site."""
    os.environ.setdefault("DJANGO_SETTINGS_MODULE", "ledger.settings")
    execute_from_command_line(sys.argv)


if __name__ == "__main__":
    main()
