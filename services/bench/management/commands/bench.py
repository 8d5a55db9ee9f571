"""`manage.py bench`: see services/bench/measure.py."""

from __future__ import annotations

import os
import sys
from pathlib import Path
from typing import Any

from django.core.management import call_command
from django.core.management.base import BaseCommand, CommandError, CommandParser

from services.bench.ground import CLASS_SIZE
from services.bench.measure import PARTS, RESULTS, run, run_only


class Command(BaseCommand):
    help = "Measure the hot paths on servers of its own."

    def add_arguments(self, parser: CommandParser) -> None:
        parser.add_argument("--check", action="store_true", help="exit 1 when something is over its limit")
        parser.add_argument("--only", choices=PARTS, help="measure this alone")
        parser.add_argument("--results", type=int, default=RESULTS, help=f"a multiple of {CLASS_SIZE}")

    def handle(self, *args: Any, **options: Any) -> None:
        directory = os.environ.get("DEVSTACK_DIRECTORY")
        if directory is None:
            raise CommandError("The bench brings its own servers: start it without DATABASE_OWNER_URL.")
        results = options["results"]
        if results < CLASS_SIZE or results % CLASS_SIZE:
            raise CommandError(f"--results: a multiple of {CLASS_SIZE}")
        call_command("migrate", verbosity=0)
        if options["only"]:
            holds = run_only(options["only"], Path(directory), self.stdout)
        else:
            holds = run(Path(directory), self.stdout, results=results)
        if options["check"] and not holds:
            sys.exit(1)
