"""`manage.py found_organisation`: an operator makes an organisation; there is no route for it."""

import getpass
import sys
from typing import Any

from django.contrib.auth.password_validation import validate_password
from django.core.exceptions import ValidationError
from django.core.management.base import BaseCommand, CommandError, CommandParser

from services.access.errors import AddressKnown
from services.pipeline.founding import found_ready_organisation
from services.tenancy.models import Person


class Command(BaseCommand):
    help = "Make an organisation with its first owner; the password is asked for, or read from a pipe."

    def add_arguments(self, parser: CommandParser) -> None:
        parser.add_argument("name")
        parser.add_argument("--owner-email", required=True)
        parser.add_argument("--owner-name", required=True)
        parser.add_argument(
            "--known-owner",
            action="store_true",
            help="the address already has a sign-in; make sure that it is the owner's own, no password is asked",
        )

    def handle(self, *args: Any, **options: Any) -> None:
        password = None if options["known_owner"] else self._new_password(options)
        try:
            org = found_ready_organisation(
                name=options["name"],
                owner_email=options["owner_email"],
                owner_name=options["owner_name"],
                password=password,
            )
        except AddressKnown as error:
            hint = "This address already has a sign-in with its own password; see --known-owner."
            raise CommandError(hint) from error
        self.stdout.write(str(org.id))

    def _new_password(self, options: dict[str, Any]) -> str:
        password = _ask_password()
        owner = Person(email=options["owner_email"], name=options["owner_name"])
        try:
            validate_password(password, user=owner)
        except ValidationError as error:
            raise CommandError(" ".join(error.messages)) from error
        return password


def _ask_password() -> str:
    """Typed, or the first line of a pipe; never an argument, which others on the machine can read."""
    if sys.stdin.isatty():
        return getpass.getpass("Password of the owner: ")
    return sys.stdin.readline().rstrip("\n")
