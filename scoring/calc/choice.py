"""What there is to choose from in a block: options judged, what is too new ruled out, reasons."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from typing import Final

import numpy as np

from programming.calc.revision import HOLD, REPETITIONS, Block, WorkItem
from programming.calc.variation import Option
from scoring.calc.attempts import is_maximal, top_of_ladder
from scoring.calc.candidate import Candidate
from scoring.calc.check_sets import heaviest_start, light_start
from scoring.calc.first_set import (
    Judged,
    best_alone,
    closest,
    first_windows,
    infeasibility,
    is_unknown,
    judge,
    ladder,
    likely_in,
    view,
)
from scoring.calc.loss import Window
from scoring.calc.prescription import CandidateView, Reason, RuledOut

NOVEL_AND_UNSURE: Final = "harder_than_written_new_and_unsure"


@dataclass(frozen=True, eq=False)
class Choice:
    """What there is to choose from, by item of the block: judged options, their windows, and the one of each that
    serves it best for itself. Of an item without an option nothing is best. settable: by work key, all that can be
    set up of it.
    """

    block: Block
    windows: list[list[Window]]
    judged: list[list[Judged]]
    best_alone: list[Judged]
    reasons: list[Reason]
    ruled_out: tuple[RuledOut, ...]
    settable: Mapping[str, Sequence[Option]]

    def views(self) -> tuple[CandidateView, ...]:
        """Every candidate, for the explanation."""
        return tuple(
            view(item.key, one, wanted)
            for item, options, wanted in zip(self.block.items, self.judged, self.windows, strict=True)
            for one in options
        )

    def ladders(self) -> list[list[Judged]]:
        """Of each item the options that may be taken for the sake of the whole block, in the order of their load:
        with windows those that have a chance in them.
        """
        free = zip(self.block.items, self.judged, self.windows, strict=True)
        return [
            ladder(likely_in(options, wanted)[0]) if wanted else light_start(self.block, item, options)
            for item, options, wanted in free
        ]

    @property
    def has_unseen(self) -> bool:
        """Whether a main item is of a movement that the athlete was never or hardly seen in: a check set leads on
        from what is told of it.
        """
        main = zip(self.block.work, self.judged, strict=False)
        return any(one.candidate.is_unbounded for _, options in main for one in options)


def choose_from(
    block: Block,
    candidates: Mapping[str, Sequence[Candidate]],
    ruled_out: tuple[RuledOut, ...],
    coach_approved: bool,
    settable: Mapping[str, Sequence[Option]] | None = None,
) -> Choice:
    """Judge all options of all items; with the reasons why no option can serve an item."""
    windows = [first_windows(block, item.key) for item in block.items]
    judged, alone, reasons, left_out = [], [], [], list(ruled_out)
    for item, wanted in zip(block.items, windows, strict=True):
        all_options = judge(_counted(item, candidates.get(item.key, ())), wanted)
        options = _not_too_new(all_options)
        dropped = [one.candidate.option for one in all_options if all(one is not kept for kept in options)]
        kept = {one.candidate.option.variation_key for one in options}
        gone = dict.fromkeys(one.variation_key for one in dropped if one.variation_key not in kept)
        left_out += [RuledOut(item.key, variation, NOVEL_AND_UNSURE) for variation in gone]
        reason = infeasibility(item.key, options, wanted)
        if reason is None and not coach_approved and is_maximal(block, item, options):
            reason = Reason("maximal_attempt_needs_coach", item.key)
            alone.append(top_of_ladder(options))
        elif reason is not None and options:
            alone.append(closest(options))
        elif wanted or not any(one.candidate.starts_light for one in options):
            alone += [best_alone(options, wanted)] if options else []
        else:
            alone.append(heaviest_start(light_start(block, item, options)))
        judged.append(options)
        reasons += [] if reason is None else [reason]
    set_up = settable or {key: [one.option for one in listed] for key, listed in candidates.items()}
    return Choice(block, windows, judged, alone, reasons, tuple(left_out), set_up)


def _counted(item: WorkItem, options: Sequence[Candidate]) -> list[Candidate]:
    """The candidates as they limit this work: a capacity in another unit than the work's tells nothing of it."""
    units = {"load_repetition": REPETITIONS, "hold": HOLD}
    return [
        replace(one, kind="none", fresh=np.full(len(one.fresh), np.inf))
        if one.is_limited and units[one.kind] != item.unit
        else one
        for one in options
    ]


def _not_too_new(judged: list[Judged]) -> list[Judged]:
    """Without what is new to an athlete of whom little is known, and harder than the version as written.

    Who is known at some load may be led up to a harder version; a check set settles how far.
    """
    written = [one.candidate.option.effective_kg for one in judged if one.candidate.is_as_written]
    if not written or not is_unknown(judged):
        return judged
    most = max(written)
    return [one for one in judged if not one.candidate.is_novel or one.candidate.option.effective_kg <= most]
