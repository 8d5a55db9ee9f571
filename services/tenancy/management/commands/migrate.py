from typing import Any

from django.core.management.base import CommandError, CommandParser
from django.core.management.commands.migrate import Command as DjangoMigrate
from django.db import connections


class Command(DjangoMigrate):
    """Migrations run as the owner role (DATABASE_OWNER_URL); the app role may not change the schema."""

    def add_arguments(self, parser: CommandParser) -> None:
        super().add_arguments(parser)
        parser.set_defaults(database="owner")

    def handle(self, *args: Any, **options: Any) -> None:
        if "owner" not in connections:
            raise CommandError("Set DATABASE_OWNER_URL: migrations run as the role that owns the tables.")
        super().handle(*args, **options)
