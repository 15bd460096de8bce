"""Fuzzes one target with atheris (pip install atheris; Apache-2.0). Run from the top folder:

    PYTHONPATH=engine python tests/robustness/fuzz/run.py loader|words|api FOLDER [-max_total_time=600 ...]

FOLDER takes what was found to reach new code; the seeds are in corpus/. A crash is written to crash-* there. Put what
it shows into corpus/ and mend it: test_fuzz_corpus.py then holds it for ever.
"""

import sys
from pathlib import Path

import atheris

with atheris.instrument_imports(include=["saltriage"]):
    import targets

if __name__ == "__main__":
    name, folder = sys.argv[1], Path(sys.argv[2])
    folder.mkdir(parents=True, exist_ok=True)
    seeds = Path(__file__).parent / "corpus" / name
    target = targets.TARGETS[name]
    for seed in seeds.iterdir():  # what is made once is made before the clock runs
        target(seed.read_bytes())
    options = ["-timeout=60", "-rss_limit_mb=3000", "-max_len=6000", f"-artifact_prefix={folder}/", *sys.argv[3:]]
    atheris.Setup([sys.argv[0], *options, str(folder), str(seeds)], target)
    atheris.Fuzz()
