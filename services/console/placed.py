"""Which field of a form a part of a document came from, so that a fault finds the field it is about."""

from __future__ import annotations

from dataclasses import dataclass, field


@dataclass
class Placed:
    """By JSON pointer the field that each part of what is sent came from."""

    places: dict[str, str] = field(default_factory=dict)

    def field_of(self, pointer: str) -> str:
        """The field that a fault belongs to, else that of what it is a part of; "" for the whole."""
        while pointer:
            if pointer in self.places:
                return self.places[pointer]
            pointer = pointer.rpartition("/")[0]
        return ""
