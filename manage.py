#!/usr/bin/env python
"""Django's command line; `demo` and `bench` bring their own servers first."""

import os
import sys


def main() -> None:
    os.environ.setdefault("DJANGO_SETTINGS_MODULE", "services.settings.base")
    if len(sys.argv) > 1 and sys.argv[1] in {"demo", "bench"} and "DATABASE_OWNER_URL" not in os.environ:
        from services.devstack.launch import with_servers

        sys.exit(with_servers(sys.argv[1:]))
    from django.core.management import execute_from_command_line

    execute_from_command_line(sys.argv)


if __name__ == "__main__":
    main()
