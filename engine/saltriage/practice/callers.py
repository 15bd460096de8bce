"""Invented callers for trainees: of reference cases, and of exam sheets with their forms and keys."""

import random
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field, replace
from functools import cached_property
from pathlib import Path
from typing import Any

from saltriage.case import Case, case_to_data, load_case, reading_entry
from saltriage.case.reported import Reading
from saltriage.diagnosis import diagnose
from saltriage.errors import CaseRefused, UsageRefused
from saltriage.exam import Paper, files_of, read_papers
from saltriage.interview.complaints import common_complaints
from saltriage.knowledge.model import Knowledge
from saltriage.result import Diagnosis
from saltriage.workshop.reference_cases import case_files

__all__ = ["MOST_NUMBER", "PracticeCaller", "PracticeLibrary", "caller_of_case", "caller_of_paper", "caller_of_sheets"]

MOST_NUMBER = 999_999  # of a call; any number is a call
_TOLD = 3  # complaints that a caller opens with; own judgement
_TRIES = 400  # cases drawn until one can be practised on; every second one can


@dataclass(frozen=True)
class PracticeCaller:
    """One invented call.

    Args:
        name: what the trainee knows it by; it tells nothing of what is wrong.
        opening: the caller's first words.    spoken: whether they are his own, and not made of titles.
        told: symptoms that they tell, as answers.    case: all that he knows, without words.
        truth: what is wrong; empty where nobody says.    also_ok: causes that an expert could name first as well.
        danger: whether somebody can be hurt; None: as the program's rules say of the whole case.
        forbidden: what must not be advised.    needed: what must be.
    """

    name: str
    opening: str
    spoken: bool
    told: Mapping[str, str]
    case: Case
    knowledge: Knowledge = field(repr=False)
    truth: tuple[str, ...] = ()
    also_ok: tuple[str, ...] = ()
    danger: bool | None = None
    forbidden: frozenset[str] = frozenset()
    needed: frozenset[str] = frozenset()

    @cached_property
    def on_file(self) -> tuple[str, ...]:
        """What is known of pool and plant before anybody asks: 'volume: 42 m3'."""
        data = case_to_data(self.case)
        lines = []
        for part in ("pool", "equipment", "products"):
            for key, value in data.get(part, {}).items():
                shown = ", ".join(str(each) for each in value.values()) if isinstance(value, Mapping) else str(value)
                lines.append(f"{key.replace('-', ' ')}: {shown.replace('-', ' ')}")
        return tuple(lines)

    @cached_property
    def whole(self) -> Diagnosis:
        """What the program says once it knows all that the caller knows."""
        return diagnose(self.case, self.knowledge, next_check=False)

    @property
    def is_dangerous(self) -> bool:
        return bool(self.whole.stops) if self.danger is None else self.danger

    def answer(self, id: str) -> str:
        """What he says of a symptom or a reading: 'yes', 'no', '2100 mg/L, drop test', or '' where he does not know."""
        if id in self.case.symptoms:
            return "yes" if self.case.symptoms[id] else "no"
        reading = self.case.readings.get(id)
        return "" if reading is None or reading.origin == "profile" else self._said(reading)

    def entry(self, id: str) -> object:
        """The same as an interview takes it."""
        reading = self.case.readings.get(id)
        if reading is None or reading.origin == "profile":
            return self.answer(id) or "unknown"
        return reading_entry(reading)

    def _said(self, reading: Reading) -> str:
        method = self.knowledge.readings[reading.id].methods.get(reading.method)
        return f"{reading.typed}, {method.title[:1].lower()}{method.title[1:]}" if method else reading.typed


def caller_of_case(case: Case, name: str, knowledge: Knowledge) -> PracticeCaller | None:
    """The caller of a reference case; None where it holds no complaint to open with, or expects no cause and no danger.

    A case has no words of a caller; the story in it is its writer's and may tell the answer. So the opening is made of
    the titles of up to three things that are so, the most frequent complaints first.
    """
    expect, asked = case.expect, knowledge.symptoms
    there = [id for id, present in case.symptoms.items() if present and id in asked and asked[id].ask is not None]
    truth = tuple(dict.fromkeys((*_listed(expect.get("first")), *_listed(expect.get("both")))))
    if case.known_gap or not there or not (truth or expect.get("stops")):
        return None
    often = {id: place for place, id in enumerate(common_complaints(knowledge, len(asked)))}
    complaints = sorted((id for id in there if id in often), key=lambda id: often[id]) or there
    told = complaints[:_TOLD]
    never = expect.get("never", {})
    return PracticeCaller(
        name=name,
        opening=". ".join(asked[id].title.rstrip(".") for id in told) + ".",
        spoken=False,
        told=dict.fromkeys(told, "yes"),
        case=_without_words(case),
        knowledge=knowledge,
        truth=truth,
        forbidden=frozenset(_listed(never.get("actions")) if isinstance(never, Mapping) else ()),
        needed=frozenset((*_listed(expect.get("advise")), *_listed(expect.get("orders")))),
    )


def _listed(value: Any) -> Sequence[str]:
    return (value,) if isinstance(value, str) else tuple(value or ())


def _without_words(case: Case) -> Case:
    return replace(case, id="call", title="", story="", said="", heard={}, expect={}, known_gap="")


def caller_of_paper(paper: Paper, name: str, knowledge: Knowledge) -> PracticeCaller:
    """The caller of an exam sheet: his own words, answers by the form, truth by the key. Raises: CaseRefused."""
    form, key = paper.form, paper.key
    data = {"case": "call", "pool": form.pool, "equipment": form.equipment}
    filed = Case.from_data(data, knowledge).readings
    readings = {id: entry for id, entry in form.told("reading").items() if id not in filed}
    case = Case.from_data({**data, "symptoms": form.told("symptom"), "readings": readings}, knowledge)
    told = {id: str(answer) for id, answer in form.told("symptom", "said").items()}
    return PracticeCaller(
        name=name,
        opening=paper.sheet.said,
        spoken=True,
        told=told,
        case=case,
        knowledge=knowledge,
        truth=key.truth,
        also_ok=key.also_ok,
        danger=paper.sheet.danger,
        forbidden=frozenset(key.forbidden or ()),
        needed=frozenset(key.needed or ()),
    )


def caller_of_sheets(sheets: Path, number: int, knowledge: Knowledge) -> PracticeCaller:
    """One of the calls in a file of sheets that are scored, by number; form and key lie beside it.

    Raises: UsageRefused: with every mistake in the files; CaseRefused: the rules do not believe a form.
    """
    papers = read_papers(files_of([sheets]), knowledge).scored
    if not papers:
        raise UsageRefused(f"{sheets}: no sheet of these is scored")
    return caller_of_paper(random.Random(number).choice(papers), f"call {number}", knowledge)


class PracticeLibrary:
    """Calls by number, out of the reference cases in a folder; the same number is the same call while these stay."""

    def __init__(self, knowledge: Knowledge, cases: Path) -> None:
        self.knowledge, self.cases = knowledge, cases

    @cached_property
    def _files(self) -> list[Path]:
        folder = self.cases / "reference"
        return case_files(folder) if folder.is_dir() else []

    def caller(self, number: int) -> PracticeCaller:
        """The call of a number from 1 on. Raises: UsageRefused: no such number, or no cases to practise on."""
        if not 1 <= number <= MOST_NUMBER:
            raise UsageRefused(f"there is no call {number}; calls have numbers from 1 to {MOST_NUMBER}")
        draw = random.Random(number)
        for _ in range(_TRIES if self._files else 0):
            try:
                case = load_case(draw.choice(self._files), self.knowledge)
            except CaseRefused:  # `rules check` tells; a trainee has no use for it
                continue
            if found := caller_of_case(case, f"call {number}", self.knowledge):
                return found
        raise UsageRefused(f"{self.cases}: no reference case there can be practised on")

    def number_of(self, case: str) -> int:
        """The smallest number whose call is the case in the file of that name; for who wants to practise that one.

        Raises: UsageRefused: there is no such file, or no number leads to it.
        """
        for number in range(1, MOST_NUMBER + 1) if self._files else ():
            if random.Random(number).choice(self._files).stem == case:
                return number
        raise UsageRefused(f"no call is the case {case}")
