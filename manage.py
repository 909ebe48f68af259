#!/usr/bin/env python
"""Run administrative commands of the ledger."""

import os
import sys


def main() -> None:
    """Hand the command line to Django, with a hint where it is not installed."""
    os.environ.setdefault("DJANGO_SETTINGS_MODULE", "inspections.project.settings")
    try:
        from django.core.management import execute_from_command_line
    except ImportError as error:
        raise SystemExit(
            "Django is not installed here. Run:"
            " python3 -m venv .venv && .venv/bin/pip install -q . and call .venv/bin/python."
        ) from error
    from django_scopes import scopes_disabled

    with scopes_disabled():  # whoever runs commands sees every district
        execute_from_command_line(sys.argv)


if __name__ == "__main__":
    main()
