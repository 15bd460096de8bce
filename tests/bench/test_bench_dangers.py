"""How long dangers take to be heard; the budget is 5 ms for 60 words on a machine at rest.

Run with: pytest tests/bench/test_bench_dangers.py --benchmark-enable -n 0
"""

from saltriage.knowledge.home import data_folder
from saltriage.words.danger import danger_reader
from saltriage.words.danger.reader import CORPUS_FOLDER
from saltriage.words.danger.weights import WEIGHTS_FILE, read_weights

SIXTY = (
    "We have had the pool for three years and never any trouble with it. Since the storm on Sunday the low salt light "
    "is on, and the water has gone a bit dull. My brother says the ladder gives him a tingle when he climbs out, but "
    "he is ticklish. I put in two bags. What else should I test before the weekend?"
)


def test_read_sixty_words(benchmark):
    """A caller's story with a danger in it."""
    reader = danger_reader()

    heard = benchmark(reader.read, SIXTY)

    assert 55 <= len(SIXTY.split()) <= 65
    assert [each.kind for each in heard] == ["electric"]


def test_read_the_weights(benchmark):
    """Once, when the first text is read."""
    weights = benchmark(read_weights, data_folder("rules") / CORPUS_FOLDER / WEIGHTS_FILE)

    assert len(weights.features)
