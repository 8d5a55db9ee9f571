"""What can really be loaded at a place, and the ways to perform a variation there.

The kit document is ``{"items": {item: {list: [numbers]}}}`` with the lists loads_kg (total external load
moved), assistances_kg (work-average help of a band or counterweight) and heights_cm; an item without settings
is ``{}``. Of dumbbells and kettlebells pairs_kg tells of which weights there are two: what is done with one in each
hand then takes a pair, twice that weight in all, and what is done with one takes one of loads_kg or of a pair.
Without the list loads_kg are what is moved in all, whatever it is made of; an empty list says that there are none.

Bands may be given as they were measured instead: ``measured`` is a list with one entry a band,
``{"from_cm", "to_cm", "tensions": [{"stretch_cm", "tension_kg"}, ...]}``, the way over which it is stretched at
this place's bar and the tensions read from a scale; each adds its work average to the item's assistances.
"""

from collections.abc import Mapping
from dataclasses import dataclass, field
from itertools import pairwise, product

from programming.calc.load import effective_load, fraction_at_height, work_average_kg
from programming.calc.reader import MISSING, DocumentError, Reader, child
from programming.calc.variation import DISTANCE, ENERGY, Option, Variation

MOST_ITEMS = 100
MOST_SETTINGS = 200
LARGEST_SETTING = 500.0
# Loads times heights of one variation: far more than any gym has, and little to compute.
MOST_PAIRS = 600
BARBELL = "barbell"
SAFETIES = "safety_arms"  # what catches a bar that the athlete cannot lift again
LISTS = ("loads_kg", "assistances_kg", "heights_cm")
PAIRS = "pairs_kg"
MEASURED = "measured"
MOST_BANDS = 20
MOST_POINTS = 50
LONGEST_CM = 1000.0
# What a hanging scale shows; a finer number would pretend to more.
BAND_DIGITS = 1


class KitError(DocumentError):
    """The kit document cannot be accepted; `problems` lists everything found."""


@dataclass(frozen=True)
class KitItem:
    """The settings that one item offers, each ascending; empty when it has none of that sort.

    pairs_kg: the weight of one of each pair; None where nothing is said of pairs.
    """

    loads_kg: tuple[float, ...] = ()
    assistances_kg: tuple[float, ...] = ()
    heights_cm: tuple[float, ...] = ()
    pairs_kg: tuple[float, ...] | None = None

    def loads_of(self, implements: int) -> tuple[float, ...]:
        """What can be moved with so many of it at once, all together [kg], ascending."""
        if self.pairs_kg is None:
            return self.loads_kg
        if implements == 1:
            return tuple(sorted({*self.loads_kg, *self.pairs_kg}))
        return tuple(implements * kg for kg in self.pairs_kg)


@dataclass(frozen=True)
class Kit:
    """Everything at one place, by item name."""

    items: Mapping[str, KitItem] = field(default_factory=dict)

    def item(self, name: str | None) -> KitItem:
        """The item, or one without settings when the place does not have it."""
        return self.items.get(name, KitItem()) if name is not None else KitItem()


def parse_kit(doc: object) -> Kit:
    """Validate a kit document; raises KitError listing every problem with its JSON pointer."""
    reader = Reader()
    listed = reader.mapping(doc, "", required=["items"])["items"]
    items: dict[str, KitItem] = {}
    if not isinstance(listed, Mapping):
        reader.mapping(listed, "/items", required=[])
    elif len(listed) > MOST_ITEMS:
        reader.note("/items", "wrong_length", f"Send at most {MOST_ITEMS} items; there are {len(listed)}.")
    else:
        for name, value in listed.items():
            pointer = child("/items", str(name)[:64])
            items[reader.key(name, pointer)] = _read_item(reader, value, pointer)
    if reader.problems:
        raise KitError(reader.problems)
    return Kit(items)


def _read_item(reader: Reader, value: object, pointer: str) -> KitItem:
    fields = reader.mapping(value, pointer, required=[], optional=(*LISTS, MEASURED, PAIRS))
    loads, assistances, heights = (_settings(reader, fields[name], f"{pointer}/{name}") for name in LISTS)
    measured = _bands(reader, fields[MEASURED], f"{pointer}/{MEASURED}")
    given = fields[PAIRS]
    pairs = (
        None
        if given is MISSING or given is None
        else _settings(reader, given, f"{pointer}/{PAIRS}", LARGEST_SETTING / 2)
    )
    return KitItem(loads, tuple(sorted({*assistances, *measured})), heights, pairs)


def _bands(reader: Reader, value: object, pointer: str) -> list[float]:
    """The work average of each measured band, in kg."""
    if value is None:
        return []
    found: list[float] = []
    for index, entry in enumerate(reader.items(value, pointer, least=0, most=MOST_BANDS)):
        at, before = f"{pointer}/{index}", len(reader.problems)
        fields = reader.mapping(entry, at, required=("from_cm", "to_cm", "tensions"))
        start, stop = (
            reader.number(fields[name], f"{at}/{name}", least=0.0, most=LONGEST_CM)
            for name in ("from_cm", "to_cm")
        )
        table = _tensions(reader, fields["tensions"], f"{at}/tensions")
        if len(reader.problems) > before:
            continue
        if not table[0][0] <= start < stop <= table[-1][0]:
            reader.note(at, "not_measured", "Give a way from and to a stretch inside the measured ones.")
        elif (mean := round(work_average_kg(table, start, stop), BAND_DIGITS)) > 0.0:
            found.append(mean)
        else:
            reader.note(at, "no_tension", "A band that does not pull is no help.")
    return found


def _tensions(reader: Reader, value: object, pointer: str) -> list[tuple[float, float]]:
    table: list[tuple[float, float]] = []
    for index, entry in enumerate(reader.items(value, pointer, least=2, most=MOST_POINTS)):
        at = f"{pointer}/{index}"
        fields = reader.mapping(entry, at, required=("stretch_cm", "tension_kg"))
        stretch = reader.number(fields["stretch_cm"], f"{at}/stretch_cm", least=0.0, most=LONGEST_CM)
        if table and stretch <= table[-1][0]:
            reader.note(f"{at}/stretch_cm", "not_ascending", "Sort the points by stretch, each once.")
        tension = reader.number(fields["tension_kg"], f"{at}/tension_kg", least=0.0, most=LARGEST_SETTING)
        table.append((stretch, tension))
    return table


def _settings(
    reader: Reader, value: object, pointer: str, largest: float = LARGEST_SETTING
) -> tuple[float, ...]:
    if value is None:
        return ()
    raw = reader.items(value, pointer, least=0, most=MOST_SETTINGS)
    settings = tuple(
        reader.number(entry, f"{pointer}/{index}", least=0.0, most=largest, above=True)
        for index, entry in enumerate(raw)
    )
    for index, (earlier, later) in enumerate(pairwise(settings)):
        if later <= earlier:
            reader.note(f"{pointer}/{index + 1}", "not_ascending", "Sort the list, each number once.")
    return settings


def options(variation: Variation, kit: Kit, body_mass_kg: float) -> list[Option]:
    """Every way to perform the variation with this kit, lightest first.

    An external load or assistance (never both), at every height that was measured; body weight alone where it
    moves anything and no setting is required. A machine whose metres or energy count has one option, of 0 kg.
    Empty when something that the variation needs is missing. Raises ValueError for a body mass that is not
    positive and finite.
    """
    if not variation.needs <= kit.items.keys():
        return []
    if _moves_no_load(variation):
        return [Option(variation.key, None, None, None, 0.0)]
    weights = _load_settings(variation, kit) + _assistance_settings(variation, kit)
    if not variation.required & {"load", "assistance"}:
        weights = [(None, None), *weights]
    heights = _heights(variation, kit)
    # More than MOST_PAIRS are no gym's: some heights are left out then, a load makes up for them.
    step = max(1, -(-len(weights) * len(heights) // MOST_PAIRS))
    found = [
        _option(variation, load_kg, assistance_kg, height_cm, body_mass_kg)
        for (load_kg, assistance_kg), height_cm in product(weights, heights[::step])
    ]
    return sorted((option for option in found if option is not None), key=_order)


def _moves_no_load(variation: Variation) -> bool:
    """Whether neither the body nor a weight is moved: the work shows on a display."""
    moves = variation.body_mass_fraction > 0.0 or variation.height_fractions or variation.adjustable
    return not moves and not {DISTANCE, ENERGY}.isdisjoint(variation.counted_in)


def _load_settings(variation: Variation, kit: Kit) -> list[tuple[float | None, float | None]]:
    if "load" not in variation.adjustable:
        return []
    return [(load_kg, None) for load_kg in kit.item(variation.load_item).loads_of(variation.implements)]


def _assistance_settings(variation: Variation, kit: Kit) -> list[tuple[float | None, float | None]]:
    if "assistance" not in variation.adjustable:
        return []
    # Two items may offer the same help: one option, whichever of them is used.
    offered = {kg for name in variation.assistance_item for kg in kit.item(name).assistances_kg}
    return [(None, assistance_kg) for assistance_kg in sorted(offered)]


def _heights(variation: Variation, kit: Kit) -> list[float | None]:
    if "height" not in variation.adjustable:
        return [None]
    lowest, highest = variation.height_fractions[0][0], variation.height_fractions[-1][0]
    offered = kit.item(variation.height_item).heights_cm
    measured: list[float | None] = [height for height in offered if lowest <= height <= highest]
    return measured if "height" in variation.required else [None, *measured]


def _option(
    variation: Variation,
    load_kg: float | None,
    assistance_kg: float | None,
    height_cm: float | None,
    body_mass_kg: float,
) -> Option | None:
    fraction = variation.body_mass_fraction
    if height_cm is not None:
        fraction = fraction_at_height(variation.height_fractions, height_cm)
    effective_kg = effective_load(
        fraction=fraction,
        body_mass_kg=body_mass_kg,
        external_share=variation.external_share,
        external_kg=load_kg or 0.0,
        assistance_kg=assistance_kg or 0.0,
    )
    if effective_kg is None:
        return None
    return Option(variation.key, load_kg, assistance_kg, height_cm, effective_kg)


def _order(option: Option) -> tuple[float, float, float, float]:
    return option.effective_kg, option.load_kg or 0.0, option.assistance_kg or 0.0, option.height_cm or 0.0
