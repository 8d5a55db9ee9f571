"""The project's own texts about safety, and the questions of the screening: data with its source beside it."""

from __future__ import annotations

import datetime as dt
import json
from collections.abc import Mapping
from dataclasses import dataclass
from functools import cache
from pathlib import Path
from typing import Any, Final

HERE: Final = Path(__file__).resolve().parent


@dataclass(frozen=True)
class Guidance:
    """A text for people; certainty says how the source is known (read, secondary, from memory)."""

    key: str
    text: str
    source: str
    certainty: str


@dataclass(frozen=True)
class Question:
    """A question that is answered yes or no."""

    key: str
    text: str


@dataclass(frozen=True)
class QuestionSet:
    """A numbered version of the screening. A yes to any of the questions is a concern; habit is none."""

    version: int
    valid_months: int
    source: str
    questions: tuple[Question, ...]
    habit: Question

    @property
    def keys(self) -> frozenset[str]:
        return frozenset(question.key for question in self.questions)

    def expires_on(self, answered_on: dt.date) -> dt.date:
        """The first day on which answers of a day are not valid any more; 29 February expires on the 28th."""
        months = answered_on.month - 1 + self.valid_months
        year, month = answered_on.year + months // 12, months % 12 + 1
        for day in range(answered_on.day, 0, -1):
            try:
                return dt.date(year, month, day)
            except ValueError:
                continue
        raise AssertionError("every month has a first day")


def _read(name: str) -> Mapping[str, Any]:
    content: Mapping[str, Any] = json.loads((HERE / name).read_text(encoding="utf-8"))
    return content


GUIDANCE_NOTE: Final[str] = _read("guidance.json")["note"]


@cache
def texts() -> tuple[Guidance, ...]:
    """Every guidance text, in the order of the file."""
    return tuple(Guidance(**entry) for entry in _read("guidance.json")["texts"])


@cache
def text(key: str) -> str:
    """The text of a key. Raises KeyError."""
    return {entry.key: entry.text for entry in texts()}[key]


@cache
def question_set() -> QuestionSet:
    """The present version of the screening."""
    read = _read("screening_questions.json")
    return QuestionSet(
        version=read["version"],
        valid_months=read["valid_months"],
        source=read["source"],
        questions=tuple(Question(**entry) for entry in read["questions"]),
        habit=Question(**read["habit"]),
    )
