"""What the session itself offers in place of work that a limit or something sore forbids, in sentences.

Everything named went through the same limits (`scoring.loadable`), so it has none of what is to be spared. Where
nothing is left to name, the words are those that go with a hold for pain.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from typing import Any, Final

from athletes.safety_words import SAFE_ALTERNATIVES
from programming.calc.difference_words import plain
from scoring.names import Names

SPARED: Final = frozenset({"limit", "sore"})


def substitutes_told(content: Mapping[str, Any], basis: Mapping[str, Any], names: Names) -> Iterator[str]:
    """A sentence for each work item of which something was left out, unless it is done as written all the same.

    Of stored content and basis. A hold has its own alternative, told with it, and an override is a person's choice.
    """
    if content.get("hold") or content.get("overridden_by"):
        return
    spared: dict[str, set[str]] = {}
    for one in content["ruled_out"]:
        code, _, what = one["reason"].partition(":")
        if code in SPARED:
            spared.setdefault(one["work"], set()).add(plain(what))
    told = {one["work"]: one for one in content["work"]}
    refused = {one["work"] for one in content["reasons"] if one["code"] == "no_options"}
    for work, what in spared.items():
        chosen, because = told.get(work), ", ".join(sorted(what))
        if chosen is not None and not chosen.get("version_as_written", chosen["as_written"]):
            instead = set_up_said(chosen, chosen["variation"], names)
            yield f"Sparing {because}, {names.work(work)} is done as {instead}."
        elif work in refused:
            yield _without(names.work(work), because, _others(content, basis, names))


def _without(work: str, because: str, others: Sequence[str]) -> str:
    nothing = f"Nothing that the session allows for {work} spares {because}."
    if not others:
        return f"{nothing} Safe meanwhile: {SAFE_ALTERNATIVES['pain']}"
    return (
        f"{nothing} What else is in the session spares it: {'; '.join(others)}. A coach says how much of it."
    )


def _others(content: Mapping[str, Any], basis: Mapping[str, Any], names: Names) -> list[str]:
    """The other work of the session, as prescribed, else by the best of what was compared and is not new."""
    found = {one["work"]: set_up_said(one, one["variation"], names) for one in content["work"]}
    refused = {one["work"] for one in content["reasons"]}
    for one in sorted(basis.get("candidates", []), key=lambda one: float(one["loss"])):
        if one["work"] not in found and one["work"] not in refused and not one["is_novel"]:
            option = one["option"]
            found[one["work"]] = set_up_said(option, option["variation_key"], names)
    return [f"{names.work(work)} as {how}" for work, how in found.items()]


def set_up_said(setting: Mapping[str, Any], variation: str, names: Names) -> str:
    """A version with its load, help and height."""
    load_kg = setting["load_kg"]
    parts = [] if load_kg is None else [names.load(variation, load_kg)]
    parts += [
        f"{setting[field]:g} {unit}"
        for field, unit in (("assistance_kg", "kg of assistance"), ("height_cm", "cm high"))
        if setting[field] is not None
    ]
    return ", ".join([setting.get("variation_name") or names.variation(variation), *parts])
