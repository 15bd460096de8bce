"""What became of each promise: the new readings held against the old ones, with the errors of both tests."""

from collections.abc import Mapping
from dataclasses import dataclass
from math import sqrt

from saltriage.follow_up.record import HistoryReading, Promise, Verdict

__all__ = ["Reached", "error_of", "verdict_on"]

SURE = 1.64  # standard deviations: nine of ten on two sides
CLEAR = 2.0  # standard deviations beyond which a rise is not as promised
LEAST_ERROR = 0.02  # of the reading, for a test whose method was not told (own judgement)
EARLY = 0.75  # of the time promised; before that nothing is held against an action (own judgement)
DOSE_ERROR = 0.05  # scale, purity, what is left on the floor (own judgement)


@dataclass(frozen=True, slots=True)
class Reached:
    """What is known at the follow-up.

    Args: elapsed_h: since the promise.    symptoms: as matched now.    volume_l, volume_error: believed before, and
    its relative standard deviation; volume_l is None where nobody told a volume.
    """

    elapsed_h: float
    before: Mapping[str, HistoryReading]
    now: Mapping[str, HistoryReading]
    symptoms: Mapping[str, bool]
    volume_l: float | None
    volume_error: float


def error_of(reading: HistoryReading) -> float:
    """Standard deviation of one test: half of what its method leaves open, and never nothing."""
    return max(reading.half_width / 2.0, LEAST_ERROR * abs(reading.middle), 1e-9)


def verdict_on(promise: Promise, amount: float, reached: Reached) -> Verdict:
    """The verdict on one promise whose action was done.

    Args: amount: given, in the unit of the promise; 0 for an action without a dose.
    """
    if promise.raises and amount > 0 and reached.volume_l:
        verdict = _dose(promise, amount, reached, reached.volume_l)
    else:
        verdict = _moved(promise, reached) or _symptom(promise, reached)
    verdict = verdict or _said(promise, "not measured", "Nothing was told that shows it.")
    if verdict.verdict in ("less", "unchanged", "not kept") and reached.elapsed_h < EARLY * promise.by_hours:
        wait = promise.by_hours - reached.elapsed_h
        return _said(promise, "too early", f"Too early to tell: wait another {wait:.0f} hours, then test again.")
    return verdict


def _said(promise: Promise, verdict: str, text: str, share: float | None = None) -> Verdict:
    return Verdict(promise.action, promise.title, verdict, text, share)


def _dose(promise: Promise, amount: float, reached: Reached, volume_l: float) -> Verdict | None:
    """A weighed dose against the rise of the reading it moves."""
    old, new = reached.before.get(promise.raises), reached.now.get(promise.raises)
    if old is None or new is None:
        return None
    expected, rose = amount * promise.mg_per_unit / volume_l, new.middle - old.middle
    noise = sqrt(error_of(old) ** 2 + error_of(new) ** 2)
    spread = sqrt(noise**2 + (expected * reached.volume_error) ** 2 + (expected * DOSE_ERROR) ** 2)
    share = rose / expected
    numbers = (
        f"{promise.raises.replace('-', ' ')} {old.middle:.0f} to {new.middle:.0f}: moved {rose:+.0f} where"
        f" {expected:+.0f} was expected"
    )
    if expected < CLEAR * noise:
        return _said(promise, "not measured", f"{numbers}; too small a change for this test to tell.", share)
    if abs(rose - expected) <= CLEAR * spread and rose > SURE * noise:
        return _said(promise, "kept", f"{numbers}.", share)
    if abs(rose) <= CLEAR * noise:
        return _said(
            promise, "unchanged", f"{numbers}: it did not answer. Suspect the test, the mixing or the volume.", share
        )
    if rose < 0:
        return _said(
            promise, "wrong way", f"{numbers}: it fell. Suspect one of the two tests, a leak or fresh water.", share
        )
    word = "less" if rose < expected else "more"
    why = (
        "the volume, the test, or part of it not dissolved" if word == "less" else "the volume or one of the two tests"
    )
    return _said(promise, word, f"{numbers}: clearly {word} than computed. Suspect {why}.", share)


def _moved(promise: Promise, reached: Reached) -> Verdict | None:
    """A reading that should move up or down."""
    if not promise.reading or promise.moves not in ("up", "down"):
        return None
    old, new = reached.before.get(promise.reading), reached.now.get(promise.reading)
    if old is None or new is None:
        return None
    rose = new.middle - old.middle
    noise = sqrt(error_of(old) ** 2 + error_of(new) ** 2)
    numbers = f"{promise.reading.replace('-', ' ')} {old.middle:.4g} to {new.middle:.4g}"
    if abs(rose) <= SURE * noise:
        return _said(promise, "unchanged", f"{numbers}: no change that the test could see.")
    as_wanted = (rose > 0) == (promise.moves == "up")
    return _said(promise, "kept" if as_wanted else "wrong way", f"{numbers}.")


def _symptom(promise: Promise, reached: Reached) -> Verdict | None:
    """A symptom that should be gone."""
    state = reached.symptoms.get(promise.symptom) if promise.symptom else None
    if state is None:
        return None
    gone = f"'{promise.symptom.replace('-', ' ')}' is {'still there' if state else 'gone'}."
    return _said(promise, "not kept" if state else "kept", gone)
