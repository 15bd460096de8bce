"""Bad rule files: each file in `bad/` has one mistake and says at its end what must be found, where, and what mends it.

Drop a file in and it is tested: it replaces the file of the good rule set that its `# bad-file:` line names.
"""

import re
import shutil
from pathlib import Path

import pytest
from whole_check import check, check_file

HERE = Path(__file__).parent
BAD = sorted((HERE / "bad").glob("*.yaml"))
TRAILER = re.compile(rb"# bad-file: (\S+)\n# finds: (\d+):(\d+) (\w+) (R\d{3})\n# mend: (.+)\n\Z")


@pytest.fixture(scope="module")
def good_copy(tmp_path_factory):
    """The good rule set where its files can be replaced and are put back."""
    home = tmp_path_factory.mktemp("bad") / "set"
    shutil.copytree(HERE / "good", home)
    return home


@pytest.mark.parametrize("bad", BAD, ids=lambda path: path.stem)
def test_the_first_finding_names_place_and_remedy(bad, good_copy):
    """The first finding of a bad file has the right code, line, column and remedy, in the whole check and alone."""
    raw = bad.read_bytes()
    at, line, column, severity, code, mend = (part.decode() for part in TRAILER.search(raw).groups())
    path = good_copy / at
    path.write_bytes(raw)
    try:
        found = check(good_copy / "rules")
        alone = check_file(path, good_copy / "rules")
    finally:
        path.write_bytes((HERE / "good" / at).read_bytes())
    own = [finding for finding in found if finding.file == path.as_posix()]
    first = own[0]

    told = (first.code, first.severity, first.line, first.column)
    assert told == (code, severity, int(line), int(column)), str(first)
    assert mend in first.mend, str(first)
    assert own == alone


def test_enough_mistakes_are_covered():
    """At least sixty mistakes people make."""
    assert len(BAD) >= 60
