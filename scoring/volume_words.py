"""Why there is less of the work than was written, in sentences of what is stored."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from typing import Any

from athletes.calc.caution import FAR_MORE, NOVEL
from scoring.names import Names
from scoring.of_late_words import but_for_the_check_set
from scoring.substitutes import set_up_said
from scoring.words import UNACCUSTOMED, whole


def volume_told(content: Mapping[str, Any], basis: Mapping[str, Any], names: Names) -> Iterator[str]:
    """Caps after an absence and of what is new, what they make of the rounds, and what the body is not used to.

    Where nothing is prescribed no more than the caps that may be why: no amount is offered, nor a beginning.
    """
    if content.get("hold") and not content["work"]:
        return
    caps = basis.get("volume_caps", {})
    for work, cap in caps.items():
        unit = names.units.get(work, "repetitions")
        yield f"After the absence at most {whole(cap, unit)} of {names.work(work)} in its block."
    reasons = content["reasons"]
    if not content["feasible"] and not any(one["code"] == "cap_below_work" for one in reasons):
        return
    for one in reasons:
        if one["code"] == "capped_volume" and one["work"] not in caps:
            yield (
                f"{_version(content, one['work'], names)} is new to the athlete: in all, with the check set, at most"
                " three times what is thought possible when fresh, and where nobody has seen the movement no more"
                " than is an ordinary beginning."
            )
    if not content["feasible"]:
        return
    own = [names.work(one["work"]) for one in reasons if one["code"] == "own_volume"]
    if own:
        yield (
            f"The amounts of {', '.join(dict.fromkeys(own))} are the athlete's own: as written the session would"
            " probably miss its aim, by so much it is likelier to serve it."
        )
    for one in content.get("blocks", []):
        if one.get("rounds") is not None:
            yield (
                f"So {names.block(one['block'])} ends after {names.so_many(one['block'], one['rounds'])} at the"
                " latest, whatever time is left."
            )
    if any(one["code"] == "aim_given_up_for_safety" for one in reasons):
        yield _given_up(content)
    for movement, one in basis.get("unaccustomed", {}).items():
        why, most = UNACCUSTOMED[one["reason"]]
        why = f"{why}{but_for_the_check_set(one)}" if one["reason"] == NOVEL else why
        if one["reason"] == FAR_MORE and one.get("usual") == 0:  # there are no other days to hold it against
            why = "was done in the last four weeks only since the day before"
        much = one["most_repetitions"]
        within = "" if much is None else f"; {most.format(most=much)}"
        yield f"{names.movement(movement)} {why}, so no set of it is planned to failure{within}."


def _version(content: Mapping[str, Any], work: str, names: Names) -> str:
    """The version with its load: the movement may be well known without the vest. Where none stands, the movement."""
    told = next((one for one in (*content["work"], *content["closest"]) if one["work"] == work), None)
    return names.work(work) if told is None else set_up_said(told, told["variation"], names)


def _given_up(content: Mapping[str, Any]) -> str:
    """Whether there is less of the work, or a reserve in every set of it, for which a part of the aim is given up."""
    codes = {one["code"] for one in content["reasons"]}
    less = codes & {"capped_volume", "far_more_than_of_late", "own_volume"}
    if less or any(one.get("rounds") is not None for one in content.get("blocks", [])):
        return "With so much less a part of the aim is hardly met: safety goes before it."
    return (
        "Every set keeps a reserve, with a load that leaves it whole, so a part of the aim is hardly met: safety goes"
        " before it."
    )
