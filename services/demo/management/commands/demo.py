"""`manage.py demo`: see services/demo/run.py."""

from __future__ import annotations

import os
import sys
from pathlib import Path
from typing import Any

from django.core.management import call_command
from django.core.management.base import BaseCommand, CommandError, CommandParser

from services.demo.errors import DemoError
from services.demo.run import run
from services.devstack.processes import StackError


class Command(BaseCommand):
    help = "Run the service with invented people and show a whole job done, from the session to the ranking."

    def add_arguments(self, parser: CommandParser) -> None:
        parser.add_argument(
            "--once", action="store_true", help="check the job, then stop everything and exit"
        )

    def handle(self, *args: Any, **options: Any) -> None:
        directory = os.environ.get("DEVSTACK_DIRECTORY")
        if directory is None:
            raise CommandError("The demo brings its own servers: start it without DATABASE_OWNER_URL.")
        call_command("migrate", verbosity=0)
        try:
            run(Path(directory), once=options["once"], out=self.stdout)
        except (DemoError, StackError) as error:
            self.stdout.flush()
            self.stderr.write(f"demo: {error}")
            sys.exit(1)
