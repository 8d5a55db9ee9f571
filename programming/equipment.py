"""Which equipment the organisation's catalogue asks for: what a kit may name, and what it names in vain."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from difflib import get_close_matches
from typing import Any, Final

from django.db.models import F

from programming import parsed
from programming.calc.kit import PAIRS, SAFETIES
from programming.calc.variation import Variation
from programming.models import VariationVersion
from services.tenancy.actor import Actor

MOST_NEAREST: Final = 3
SETTING_LISTS = {"load": "loads_kg", "assistance": "assistances_kg", "height": "heights_cm"}


@dataclass(frozen=True)
class Equipment:
    """One item; `settings` names the kit's lists that a variation reads, the rest are keys of variations.

    needed_by: not offered without it; used_by: they can use it, and do without.
    """

    item: str
    settings: tuple[str, ...]
    needed_by: tuple[str, ...]
    used_by: tuple[str, ...]


@dataclass(frozen=True)
class UnknownItem:
    """An item of a kit that no variation asks for: nothing is offered for it.

    nearest: the known names that are most like it, at most MOST_NEAREST.
    """

    item: str
    nearest: tuple[str, ...]


def equipment_visible_to(actor: Actor) -> tuple[Equipment, ...]:
    """By name of the item, from the present version of every variation (one query)."""
    return _equipment()


def unknown_items(kit: Mapping[str, Any] | None) -> list[UnknownItem]:
    """Those of a kit document that was accepted, in its order; [] for no kit (one query, none without items).

    They are kept: a place may write down what a variation that is still to come will ask for.
    """
    named = [] if kit is None else list(kit["items"])
    known = [one.item for one in _equipment()] if named else []
    return [UnknownItem(name, nearest_to(name, known)) for name in named if name not in known]


def nearest_to(name: str, known: Iterable[str]) -> tuple[str, ...]:
    """Known names that are spelt much like it, then those that share a word with it; at most MOST_NEAREST."""
    names = sorted(known)
    words = set(name.split("_"))
    akin = (one for one in names if not words.isdisjoint(one.split("_")))
    return tuple(dict.fromkeys([*get_close_matches(name, names, MOST_NEAREST), *akin]))[:MOST_NEAREST]


def _equipment() -> tuple[Equipment, ...]:
    rows = VariationVersion.objects.filter(number=F("variation__current")).values_list("id", "document")
    return equipment_of(parsed.variations.of(*row).variation for row in rows)


def equipment_of(variations: Iterable[Variation]) -> tuple[Equipment, ...]:
    """What these variations name, and what catches a bar, which the choice for who trains alone asks for."""
    settings: dict[str, set[str]] = {SAFETIES: set()}
    needed: dict[str, set[str]] = {SAFETIES: set()}
    used: dict[str, set[str]] = {SAFETIES: set()}
    for variation in variations:
        sources = _sources(variation)
        must, may = set(variation.needs), set[str]()
        for setting, offering in sources.items():
            for name in offering:
                settings.setdefault(name, set()).add(SETTING_LISTS[setting])
                if setting == "load" and variation.implements > 1:
                    settings[name].add(PAIRS)
            # With two items that can give what is required, neither alone is needed.
            (must if setting in variation.required and len(offering) == 1 else may).update(offering)
        for listed, items in ((needed, must), (used, may - must)):
            for item in items:
                listed.setdefault(item, set()).add(variation.key)
    return tuple(
        Equipment(
            item,
            tuple(name for name in (*SETTING_LISTS.values(), PAIRS) if name in settings.get(item, ())),
            tuple(sorted(needed.get(item, ()))),
            tuple(sorted(used.get(item, ()))),
        )
        for item in sorted(settings.keys() | needed.keys() | used.keys())
    )


def _sources(variation: Variation) -> dict[str, tuple[str, ...]]:
    """The items that offer each adjustable setting."""
    named = {
        "load": (variation.load_item,),
        "assistance": variation.assistance_item,
        "height": (variation.height_item,),
    }
    return {
        setting: tuple(name for name in named[setting] if name is not None)
        for setting in SETTING_LISTS
        if setting in variation.adjustable
    }
