"""Many cases at once: the set recursion over all cases that have the same number of present symptoms."""

from collections.abc import Iterable, Sequence

import numpy as np
from numpy.typing import NDArray

from saltriage.ranking.evidence import Evidence
from saltriage.ranking.folding import share
from saltriage.ranking.model import Model, Numbers, log_of, padded
from saltriage.ranking.network import Network
from saltriage.ranking.ranking import Ranking, Rows, log_without_known, rank
from saltriage.ranking.standing import log_alone

Indices = NDArray[np.intp]

# With more present symptoms a case is quicker alone, where symptoms leave the state as soon as they can.
MOST_PRESENT = 10
# States x cases in one array: about what the cache holds.
BLOCK = 1 << 15
MOST_CASES = 512


def rank_many(network: Network, evidence: Iterable[Evidence]) -> list[Ranking]:
    """rank() of every case, in the order given, to within rounding.

    Raises: as rank(), for the first case that cannot be ranked.
    """
    cases = list(evidence)
    for case in cases:
        network.check(case)
    if network.model.states or any(case.heard for case in cases):
        return [rank(network, case) for case in cases]
    groups: dict[int, list[int]] = {}
    for index, case in enumerate(cases):
        groups.setdefault(len(case.present), []).append(index)
    rankings: dict[int, Ranking] = {}
    for count, members in sorted(groups.items()):
        if count > MOST_PRESENT:
            rankings.update((index, rank(network, cases[index])) for index in members)
            continue
        at_once = min(MOST_CASES, BLOCK >> count)
        members.sort(key=lambda index: (_entangled(network.model, cases[index]), index))
        for start in range(0, len(members), at_once):
            block = members[start : start + at_once]
            rankings.update(zip(block, _ranked(network, [cases[index] for index in block]), strict=True))
    return [rankings[index] for index in range(len(cases))]


def _entangled(model: Model, case: Evidence) -> int:
    """How many causes show in two or more of the present symptoms: cases with like numbers share a block."""
    return int((np.count_nonzero(model.by_symptom[list(case.present)], axis=0) > 1).sum())


def _ranked(network: Network, cases: Sequence[Evidence]) -> list[Ranking]:
    """Rankings of cases with equally many present symptoms."""
    if not cases:
        return []
    model = network.model
    log_factor = _added(model.log_absent, [case.absent for case in cases])
    log_factor += _added(model.log_silent, [case.silent for case in cases])
    log_leak = _added(model.log_leak_absent[:, None], [case.absent for case in cases])[:, 0]
    log_leak += _added(model.log_leak_silent[:, None], [case.silent for case in cases])[:, 0]
    at_work = model.priors * np.exp(log_factor)
    not_at_work = np.broadcast_to(1.0 - model.priors, at_work.shape)
    total = at_work + not_at_work
    log_rest = log_leak + np.log(total).sum(axis=1)
    at_work, not_at_work = at_work / total, not_at_work / total
    present = np.array([case.present for case in cases], dtype=np.intp).reshape(len(cases), -1)
    posterior, log_present = _summed(model, present, at_work, not_at_work)
    zero = ~np.isfinite(log_present)
    if zero.any():
        # Either impossible or too small for an unscaled sum: rank() keeps the scale apart and tells which.
        rest = iter(_ranked(network, [case for case, is_zero in zip(cases, zero, strict=True) if not is_zero]))
        return [rank(network, case) if is_zero else next(rest) for case, is_zero in zip(cases, zero, strict=True)]
    rows = Rows(
        at_work=posterior,
        log_probability=log_rest + log_present,
        log_present_given_rest=log_present,
        log_not_at_work=log_of(not_at_work),
        linked=np.any(model.by_symptom[present] > 0.0, axis=(1,), keepdims=True)[:, 0],
        log_without_known=log_without_known(network, at_work, present),
        log_apart=np.array([log_alone(model, case) for case in cases]),
        error=np.zeros(len(cases)),
        log_error=np.zeros(len(cases)),
    )
    return rows.rankings(network)


def _added(table: Numbers, symptoms: Sequence[tuple[int, ...]]) -> Numbers:
    """For each case the sum of the table's rows of its symptoms."""
    with_blank = np.vstack([table, np.zeros((1, table.shape[1]))])
    places = padded(symptoms, blank=len(table))
    total = np.zeros((len(symptoms), table.shape[1]))
    for place in range(places.shape[1]):
        total += with_blank[places[:, place]]
    return total


def _summed(model: Model, present: Indices, at_work: Numbers, not_at_work: Numbers) -> tuple[Numbers, Numbers]:
    """Posteriors, C x causes, and log P(present | rest); -inf where the sum is 0."""
    cases, count = present.shape
    if count == 0:
        return at_work, np.zeros(cases)
    strengths = model.by_symptom[present].transpose(2, 1, 0) * (at_work.T > 0.0)[:, None, :]  # causes x K x C
    links = np.count_nonzero(strengths, axis=1)
    produced = np.where((links == 1)[:, None, :], strengths * at_work.T[:, None, :], 0.0)
    single_absent = np.log1p(-produced)
    log_absent = model.log_leak_absent[present].T + single_absent.sum(axis=0)  # K x C
    absent, leaked = np.exp(log_absent), -np.expm1(log_absent)

    # The causes of each case that show in several present symptoms, first; filled up with causes that show in none.
    most = int((links > 1).sum(axis=0).max())
    order = np.argsort(links <= 1, axis=0, kind="stable")[:most]
    column = np.arange(cases)
    several = links[order, column] > 1
    working = np.where(several, at_work.T[order, column], 0.0)
    idle = np.where(several, not_at_work.T[order, column], 1.0)
    shown = np.where(several[:, None, :], strengths[order, :, column].transpose(0, 2, 1), 0.0)

    forward, after, found = _walked(absent, leaked, working, idle, shown)
    posterior = at_work.T.copy()
    slots, where = np.nonzero(several)
    posterior[order[slots, where], where] = found[slots, where]
    not_seen, seen = _messages(forward, after, absent, leaked)
    _fill_single(
        posterior, strengths, at_work.T, not_at_work.T,
        log_rest=log_absent - single_absent, message=(not_seen, seen), links=links,
    )  # fmt: skip
    return np.ascontiguousarray(posterior.T), log_of((forward * after).sum(axis=0))


def _walked(
    absent: Numbers, leaked: Numbers, working: Numbers, idle: Numbers, shown: Numbers
) -> tuple[Numbers, Numbers, Numbers]:
    """First forward state, last backward state (2**K x C), and the posteriors of the causes (slots x C)."""
    count, cases = absent.shape
    first = np.ones((1, cases))
    for symptom in range(count):
        first = np.concatenate([first * absent[symptom], first * leaked[symptom]])
    before, state = [], first
    for slot in range(len(working)):
        before.append(state)
        moved = state * working[slot]
        for symptom in range(count):
            halves = moved.reshape(-1, 2, 1 << symptom, cases)
            without = halves[:, 0]
            gone = without * shown[slot, symptom]
            halves[:, 1] += gone
            without *= 1.0 - shown[slot, symptom]
        state = state * idle[slot] + moved
    found = np.empty_like(working)
    after = np.zeros_like(first)
    after[-1] = 1.0
    for slot in reversed(range(len(working))):
        if_working = after.copy()
        for symptom in range(count):
            halves = if_working.reshape(-1, 2, 1 << symptom, cases)
            without = halves[:, 0]
            without *= 1.0 - shown[slot, symptom]
            without += halves[:, 1] * shown[slot, symptom]
        if_working *= working[slot]
        if_idle = after * idle[slot]
        found[slot] = share((before[slot] * if_working).sum(axis=0), (before[slot] * if_idle).sum(axis=0))
        after = if_working + if_idle
    return first, after, found


def _messages(forward: Numbers, after: Numbers, absent: Numbers, leaked: Numbers) -> tuple[Numbers, Numbers]:
    """For each present symptom (K x C): chance of all that is seen if its leak does not, and if it does produce it."""
    count, cases = absent.shape
    joint = forward * after
    not_seen, seen = np.empty((count, cases)), np.empty((count, cases))
    for symptom in range(count):
        halves = joint.reshape(-1, 2, 1 << symptom, cases).sum(axis=(0, 2))
        not_seen[symptom] = halves[0] / absent[symptom]
        seen[symptom] = np.divide(halves[1], leaked[symptom], out=np.zeros(cases), where=leaked[symptom] > 0.0)
    return not_seen, seen


def _fill_single(
    posterior: Numbers,
    strengths: Numbers,
    at_work: Numbers,
    not_at_work: Numbers,
    *,
    log_rest: Numbers,
    message: tuple[Numbers, Numbers],
    links: Indices,
) -> None:
    """Closed form for the causes that show in exactly one present symptom (all arrays causes x ... x C)."""
    cause, case = np.nonzero(links == 1)
    symptom = np.argmax(strengths[cause, :, case] > 0.0, axis=1)
    not_seen, seen = message[0][symptom, case], message[1][symptom, case]
    rest = log_rest[cause, symptom, case]
    with_it = rest + np.log1p(-strengths[cause, symptom, case])
    working = at_work[cause, case] * (np.exp(with_it) * not_seen - np.expm1(with_it) * seen)
    idle = not_at_work[cause, case] * (np.exp(rest) * not_seen - np.expm1(rest) * seen)
    posterior[cause, case] = share(working, idle)
