"""What of a closed call the net gets to see: what was asked, told or measured; answers as answers."""

from pathlib import Path

from saltriage.believe import believe
from saltriage.case import Case
from saltriage.explain.cause_network import CauseNetwork, network_of
from saltriage.find import find
from saltriage.knowledge import Knowledge, load_knowledge
from saltriage.learning.net_calls import NetCall, net_calls
from saltriage.learning.outcomes import ClosedCall

ROOT = Path(__file__).parents[2]


def seen(data: dict, asked: set[str], confirmed: tuple[str, ...] = ()) -> tuple[NetCall, CauseNetwork, Knowledge, Case]:
    knowledge = load_knowledge(ROOT / "rules")
    network = network_of(knowledge)
    case = Case.from_data({"case": "caller", "title": "Invented", **data}, knowledge)
    (call,) = net_calls([ClosedCall(case, confirmed, "2026-11-30", frozenset(asked))], knowledge, network)
    return call, network, knowledge, case


def test_an_answer_that_proves_a_state_stays_an_answer() -> None:
    """In a diagnosis of the same case the state is a fact."""
    call, network, knowledge, case = seen({"symptoms": {"air-under-pump-lid": "yes"}}, {"air-under-pump-lid"})

    assert "air-in-pump" in find(believe(case, knowledge)).proven
    assert call.evidence.proven == ()
    assert network.symptom_index["air-under-pump-lid"] in call.evidence.present
    assert network.state_index["air-in-pump"] in call.looked_at & call.asked_states


def test_a_reading_that_proves_a_state_proves_it_here_too() -> None:
    call, network, *_ = seen({"readings": {"ph": {"value": 8.4, "unit": "pH", "method": "photometer"}}}, set())

    high = network.state_index["high-ph"]
    assert high in call.evidence.proven
    assert high in call.looked_at & call.asked_states, "a test counts as asked"


def test_silence_and_hearsay_do_not_count() -> None:
    """Neither a complaint that was not made, nor one that the words may mean."""
    data = {"told": "volunteered", "symptoms": {"foam": "yes"}, "heard": {"cloudy-white": 0.6}}
    call, network, *_ = seen(data, set())

    assert (call.evidence.silent, call.evidence.heard) == ((), ())
    assert call.evidence.present == (network.symptom_index["foam"],)
    assert call.asked == frozenset(), "it was told unasked"


def test_causes_are_those_of_the_pool_and_those_confirmed() -> None:
    """What cannot be indoors is not counted; what the setting itself answers counts as asked."""
    data = {"symptoms": {"foam": "no"}, "pool": {"setting": "indoor"}}
    call, network, knowledge, case = seen(data, {"foam"}, ("salt-too-low",))

    impossible = find(believe(case, knowledge)).impossible
    assert impossible, "nothing is ruled out, so nothing is tested"
    assert {network.causes[row] for row in call.possible} == set(network.causes) - impossible
    assert call.known == (network.cause_index["salt-too-low"],)
    assert network.symptom_index["foam"] in call.asked
