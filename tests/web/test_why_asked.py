"""Why an owner is asked: plain reasons of the rules, beside the question."""

import html

import httpx
import pytest
from web_scenes import demo_data

from saltriage.guard import danger_look
from saltriage.knowledge import Knowledge
from saltriage.knowledge.model import Symptom
from saltriage.web.walk import Walk


def placed(knowledge: Knowledge) -> list[Symptom]:
    """What is asked at a place, beside the look for danger."""
    look = danger_look(knowledge)
    return [each for each in knowledge.symptoms.values() if each.ask and each.ask.together and each.id not in look]


def test_every_place_has_a_reason_of_its_own(knowledge: Knowledge) -> None:
    places = {each.ask.together for each in placed(knowledge) if each.ask}

    assert len(places) > 15
    assert places <= knowledge.pictures.reasons.keys()
    assert len(set(knowledge.pictures.reasons.values())) == len(knowledge.pictures.reasons)


def test_no_reason_is_spoken_to_support_or_names_a_cause(knowledge: Knowledge) -> None:
    """What is thought to be wrong bends the answers, and support's sentences are jargon to an owner."""
    support = " ".join(each.ask.question.support for each in placed(knowledge) if each.ask)
    titles = [cause.title.casefold() for cause in knowledge.causes.values()]
    for reason in knowledge.pictures.reasons.values():
        assert reason not in support
        assert not [title for title in titles if title in reason.casefold()]


@pytest.mark.parametrize("case", ["low-salt-after-rain", "scaled-plates-hard-water"])
def test_the_reason_stands_beside_the_question(client: httpx.Client, knowledge: Knowledge, case: str) -> None:
    told = {"symptoms": {**demo_data(case)["symptoms"], **dict.fromkeys(danger_look(knowledge), "no")}}
    state = Walk(told, insists=True).text()
    page = client.post("/owner", data={"state": state, "step": "list", "go": "question"}).text

    asked = page.partition('name="asked" value="')[2].partition('"')[0].split("+")
    rules = [knowledge.symptoms[each] if each in knowledge.symptoms else knowledge.readings[each] for each in asked]
    fitting = {knowledge.pictures.reasons[rule.ask.together] for rule in rules if rule.ask and rule.ask.together}
    assert html.unescape(page.partition("<b>Why we ask.</b> ")[2].partition("</p>")[0]) in fitting
    assert "If so:" not in page
