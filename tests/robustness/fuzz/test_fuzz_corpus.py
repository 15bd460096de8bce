"""The fuzz targets on their corpus, which holds seeds and everything that was ever found, and on small changes of it.

run.py looks for more; here the same targets run for seconds, so that what was found stays mended.
"""

import random
from pathlib import Path

import pytest
import targets

CORPUS = Path(__file__).parent / "corpus"
FILES = sorted(path for path in CORPUS.rglob("*") if path.is_file())


@pytest.mark.parametrize("path", FILES, ids=lambda path: f"{path.parent.name}/{path.name}")
def test_corpus(path):
    """Each file as it is."""
    targets.TARGETS[path.parent.name](path.read_bytes())


@pytest.mark.parametrize("name", sorted(targets.TARGETS))
def test_changes_of_the_corpus(name):
    """Bytes cut out, doubled, flipped and joined from two files: 60 of them, the same in every run."""
    chance = random.Random(name)
    files = [path.read_bytes() for path in FILES if path.parent.name == name]
    assert files

    for _ in range(60):
        data = bytearray(chance.choice(files))
        for _ in range(chance.randrange(1, 6)):
            place = chance.randrange(len(data) + 1)
            change = chance.randrange(4)
            if change == 0:
                del data[place : place + chance.randrange(1, 20)]
            elif change == 1:
                data[place:place] = data[place : place + chance.randrange(1, 40)]
            elif change == 2 and place < len(data):
                data[place] ^= 1 << chance.randrange(8)
            else:
                other = chance.choice(files)
                data[place:place] = other[chance.randrange(len(other) + 1) :][:200]
        targets.TARGETS[name](bytes(data))
