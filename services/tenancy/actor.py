"""Who asks: one signed-in person in one organisation."""

from dataclasses import dataclass, field
from enum import StrEnum
from uuid import UUID


class Role(StrEnum):
    OWNER = "owner"
    COACH = "coach"
    LOCATION_STAFF = "location_staff"
    ATHLETE = "athlete"


EVERYONE = frozenset(Role)
STAFF = frozenset({Role.OWNER, Role.COACH, Role.LOCATION_STAFF})
COACHES = frozenset({Role.OWNER, Role.COACH})
OWNERS = frozenset({Role.OWNER})


class Scope(StrEnum):
    """What a token may be used for; a role still limits what its person may do."""

    PROGRAMME_READ = "programme:read"
    PROGRAMME_WRITE = "programme:write"
    ATHLETES_READ = "athletes:read"
    ATHLETES_WRITE = "athletes:write"
    RESULTS_READ = "results:read"
    RESULTS_WRITE = "results:write"
    ADMIN = "admin"


ALL_SCOPES = frozenset(str(scope) for scope in Scope)
# What a sign-in gives unless it asks for something else: everyday work, nothing about the organisation itself.
USUAL_SCOPES = ALL_SCOPES - {str(Scope.ADMIN)}


@dataclass(frozen=True)
class Actor:
    """A member acting in an organisation; `location_ids` limits location staff only.

    wants_factor: whether the organisation lets them work with a second factor alone.
    """

    person_id: UUID
    org_id: UUID
    membership_id: UUID
    role: Role
    location_ids: frozenset[UUID] = field(default_factory=frozenset)
    scopes: frozenset[str] = ALL_SCOPES
    wants_factor: bool = False

    @property
    def sees_all_athletes(self) -> bool:
        return self.role in COACHES
