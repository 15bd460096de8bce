"""What a proposal alone changes for callers is what whole diagnoses by either word say."""

from saltriage.case import Case
from saltriage.conditions import Matcher
from saltriage.diagnosis import diagnose
from saltriage.explain.cause_network import network_of
from saltriage.knowledge import load_knowledge
from saltriage.knowledge.home import data_folder
from saltriage.knowledge.matching import conditions_of
from saltriage.learning.effects import changed_firsts, with_word
from saltriage.learning.learnable import words_of
from saltriage.learning.proposals import Proposal
from saltriage.workshop.comparison import callers_of

FAR = {
    "usually": "rarely", "always": "rarely", "often": "rarely", "sometimes": "always", "rarely": "always",
    "very-common": "rare", "common": "rare", "occasional": "very-common", "rare": "very-common",
}  # fmt: skip


def test_the_count_is_that_of_whole_diagnoses():
    """Of the shipped rules: what a cause shows, what it brings about and how common it is, each moved far."""
    knowledge = load_knowledge()
    callers = callers_of(data_folder("rules"), knowledge, 48)
    words = [each for each in words_of(knowledge, network_of(knowledge)) if each.word in FAR and each.rules == "causes"]
    called = {data["title"].removeprefix("Caller with ") for data in callers}
    words = [each for each in words if each.rule in called]
    kinds = {each.path[0]: each for each in words}
    assert kinds.keys() == {"shows", "brings", "common"}
    some = [*kinds.values(), *words[::20]]

    counted = list(
        changed_firsts([Proposal(each, FAR[each.word], 0, 30, 0, 0, 0) for each in some], knowledge, callers)
    )

    assert counted == [_differing(callers, knowledge, with_word(knowledge, each, FAR[each.word])) for each in some]
    assert sum(counted) > 0, "no caller was touched, so the count was not tried"


def _differing(callers, knowledge, other):
    firsts = []
    for each in (knowledge, other):
        matcher = Matcher(conditions_of(each), prefer="plain")
        found = [diagnose(Case.from_data(data, each), each, matcher, next_check=False) for data in callers]
        firsts.append([one.causes[0].cause if one.causes else "" for one in found])
    return sum(one != another for one, another in zip(*firsts, strict=True))
