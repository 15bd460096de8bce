"""Estimates where the right one is known: by counting, and by trying every number of one word."""

from collections import Counter

import numpy as np
import pytest

from saltriage.case import Case
from saltriage.explain.cause_network import network_of
from saltriage.knowledge import load_knowledge
from saltriage.learning.learnable import words_of
from saltriage.learning.maximising import learned_numbers, network_with
from saltriage.learning.net_calls import net_calls
from saltriage.learning.outcomes import ClosedCall
from saltriage.ranking import rank

COLD = ("strengths", ("causes", "water-too-cold", ("shows", "low-salt-warning")))


def call(knowledge, answers, confirmed, readings=None):
    told = {symptom: "yes" if there else "no" for symptom, there in answers.items()}
    data = {"case": "caller", "title": "Invented", "symptoms": told, "readings": readings or {}}
    return ClosedCall(Case.from_data(data, knowledge), confirmed, "2026-11-30", frozenset(answers))


def learned(calls, knowledge):
    network = network_of(knowledge)
    words = words_of(knowledge, network)
    found = learned_numbers(network, words, net_calls(calls, knowledge, network), knowledge.learning)
    return found, next(word for word in words if (word.table, (word.rules, word.rule, word.path)) == COLD)


def test_confirmed_calls_are_counted(rules):
    """Of 60 callers with cold water none has the warning: pseudo-counts alone keep the number above nothing."""
    knowledge = load_knowledge(rules)
    found, word = learned([call(knowledge, {"low-salt-warning": False}, ("water-too-cold",))] * 60, knowledge)

    before = found.stated[word.table][word.place]
    weight = sum(each.weight for each in found.calls)
    assert found.numbers[word.table][word.place] == pytest.approx(4 * before / (4 + weight), rel=1e-3)
    assert 57 < weight <= 60


def test_a_confirmation_that_the_answers_speak_against_counts_little(rules):
    """A burning smell that nobody with cold water has: it teaches little of cold water."""
    knowledge = load_knowledge(rules)
    fits = call(knowledge, {"low-salt-warning": True, "burning-smell": False}, ("water-too-cold",))
    odd = call(knowledge, {"low-salt-warning": False, "burning-smell": True}, ("water-too-cold",))

    found, _ = learned([fits] * 40 + [odd], knowledge)

    assert found.calls[0].weight > 0.9
    assert found.calls[-1].weight < 0.75


def test_unconfirmed_calls_alone_find_the_number_that_makes_them_likeliest(rules):
    """Against trying every number of one word, all others as learned, with the probability of the ranking."""
    knowledge = load_knowledge(rules)
    cold, warm = ({"water-temperature": {"value": degrees, "unit": "degC"}} for degrees in (8, 26))
    calls = [call(knowledge, {"low-salt-warning": True}, (), cold)] * 30
    calls += [call(knowledge, {"low-salt-warning": False}, (), cold)] * 20
    # Callers with warm water say how often the warning comes by itself; else the two could not be told apart.
    calls += [call(knowledge, {"low-salt-warning": False}, (), warm)] * 60
    found, word = learned(calls, knowledge)
    network = network_of(knowledge)
    kinds = Counter(each.evidence for each in net_calls(calls, knowledge, network))
    before = found.stated[word.table][word.place]

    def posterior(number):
        numbers = {table: values.copy() for table, values in found.numbers.items()}
        numbers[word.table][word.place] = number
        tried = network_with(network.network, numbers)
        logs = sum(times * rank(tried, evidence).log_probability for evidence, times in kinds.items())
        return logs + 4 * (before * np.log(number) + (1 - before) * np.log(1 - number))

    grid = np.linspace(0.01, 0.93, 93)
    best = grid[int(np.argmax([posterior(number) for number in grid]))]
    assert found.usable[word.table][word.place]
    assert found.numbers[word.table][word.place] == pytest.approx(best, abs=0.02)
    assert best > before + 0.1, "the calls did not say anything"
