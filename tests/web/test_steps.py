"""Within one request nothing is worked out twice, and nothing of it outlasts the request."""

from collections.abc import Callable
from typing import Any

import pytest
from web_scenes import DEMO, demo_data

from saltriage import diagnosis
from saltriage.ask import SoFar
from saltriage.case import Case
from saltriage.diagnosis import Way, diagnose
from saltriage.interview.standing import standing_of
from saltriage.knowledge import Knowledge
from saltriage.plans import plan_for
from saltriage.report.diagnosis.json_form import diagnosis_json
from saltriage.web import engine, owner, support
from saltriage.web.steps import as_one_step, way_of
from saltriage.web.walk import Walk


@pytest.fixture
def counted(monkeypatch: pytest.MonkeyPatch) -> dict[str, int]:
    """How often each room of the way was entered."""
    entered: dict[str, int] = {}

    def counting(name: str, room: Callable[..., Any]) -> Callable[..., Any]:
        def enter(*args: Any, **kwargs: Any) -> Any:
            entered[name] = entered.get(name, 0) + 1
            return room(*args, **kwargs)

        return enter

    for name in ("believe", "find", "explain", "guard", "advise", "ask"):
        monkeypatch.setattr(diagnosis, name, counting(name, getattr(diagnosis, name)))
    return entered


def test_diagnosis_and_question_of_one_case_go_the_way_once(knowledge: Knowledge, counted: dict[str, int]) -> None:
    """Ranking, advice and next question: each room once, whoever asks first."""
    data, walk = demo_data(DEMO[0]), Walk(case=demo_data(DEMO[0]))

    def both() -> None:
        engine.standing_at(Case.from_data(data, knowledge), knowledge, walk)
        engine.diagnosed(engine.examined_case(data, knowledge))

    as_one_step(both)

    assert counted == dict.fromkeys(("believe", "find", "explain", "guard", "advise", "ask"), 1)


def test_a_step_of_the_desk_ranks_and_asks_once(knowledge: Knowledge, counted: dict[str, int]) -> None:
    as_one_step(support.panels, support.checked({"case": demo_data(DEMO[0])}), knowledge)

    assert {name: counted[name] for name in ("believe", "find", "explain", "ask")} == dict.fromkeys(
        ("believe", "find", "explain", "ask"), 1
    )


def test_questions_that_end_in_the_result_go_the_way_once(knowledge: Knowledge, counted: dict[str, int]) -> None:
    """Questions of a danger end at once; only asking may be entered anew, since what was asked counts there."""
    case = {**demo_data(DEMO[0]), "symptoms": {"smoke-or-scorch": "yes"}}

    page = as_one_step(owner.next_page, {"state": Walk(case=case).text(), "step": "question"}, knowledge)

    assert page.template != "question.html.j2"
    assert {name: count for name, count in counted.items() if name not in ("guard", "ask")} == dict.fromkeys(
        ("believe", "find", "explain", "advise"), 1
    )


def test_nothing_outlasts_a_step(knowledge: Knowledge) -> None:
    case = Case.from_data(demo_data(DEMO[1]), knowledge)

    def twice() -> tuple[Way, Way]:
        return way_of(case, knowledge), way_of(Case.from_data(demo_data(DEMO[1]), knowledge), knowledge)

    first, second = as_one_step(twice)
    later, _ = as_one_step(twice)

    assert first is second
    assert later is not first
    assert way_of(case, knowledge) is not way_of(case, knowledge)


def test_a_step_that_breaks_leaves_nothing_behind(knowledge: Knowledge) -> None:
    case = Case.from_data(demo_data(DEMO[1]), knowledge)

    def breaks() -> None:
        way_of(case, knowledge)
        raise RuntimeError("broken on purpose")

    with pytest.raises(RuntimeError, match="on purpose"):
        as_one_step(breaks)
    assert way_of(case, knowledge) is not way_of(case, knowledge)


@pytest.mark.parametrize("name", DEMO)
def test_what_is_shared_is_what_each_would_find_alone(knowledge: Knowledge, name: str) -> None:
    case = Case.from_data(demo_data(name), knowledge)
    walk = Walk(case=demo_data(name))
    so_far = SoFar(frozenset(), frozenset(), 0)

    def both() -> tuple[object, object]:
        standing = engine.standing_at(case, knowledge, walk)
        return standing, engine.diagnosed(engine.examined_case(demo_data(name), knowledge))

    standing, found = as_one_step(both)

    assert standing == standing_of(case, knowledge, so_far, opens=True)
    assert diagnosis_json(found) == diagnosis_json(diagnose(case, knowledge))  # type: ignore[arg-type]


def test_a_plan_tells_the_dangers_of_the_diagnosis(knowledge: Knowledge) -> None:
    """It no longer makes a diagnosis to say so."""
    data = demo_data(DEMO[1])
    case = Case.from_data({**data, "symptoms": {**data["symptoms"], "smoke-or-scorch": "yes"}}, knowledge)
    found, plan = diagnose(case, knowledge), plan_for(case, "opening", knowledge)

    assert (plan.stops, plan.orders, plan.doubts) == (found.stops, found.orders, found.doubts)
    assert plan.stops
