"""Loading: what the model says of the rules, and bundles that are believed only when everything agrees."""

import json
import os
import shutil
import subprocess
import sys
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from whole_check import check, check_file

import saltriage.knowledge.load as load_module
from saltriage.conditions.nodes import Number, ReadingBound, SymptomIs
from saltriage.errors import KnowledgeRefused, UsageRefused
from saltriage.knowledge.build import fingerprint
from saltriage.knowledge.bundle import KnowledgeBundle, bundle_file, contents_of, read_bundle, write_bundle
from saltriage.knowledge.load import compile_bundle, load_knowledge
from saltriage.knowledge.strict_yaml import read_yaml
from saltriage.result import Wording

GOOD = Path(__file__).parent / "good"
ENGINE = Path(load_module.__file__).parents[2]


@pytest.fixture(autouse=True)
def cache(tmp_path, monkeypatch):
    """A cache of this test's own."""
    monkeypatch.setenv("SALTRIAGE_CACHE", str(tmp_path / "cache"))
    return tmp_path / "cache"


@pytest.fixture
def rules(tmp_path):
    """A copy of the good rules."""
    shutil.copytree(GOOD / "rules", tmp_path / "rules")
    return tmp_path / "rules"


@pytest.fixture
def no_compiling(monkeypatch):
    """Makes any reading of rule files a failure."""

    def refuse(*_):
        raise AssertionError("the rule files were read although a good bundle was there")

    def activate():
        monkeypatch.setattr(load_module, "_compiled", refuse)

    return activate


def change(path, old, new):
    """Replaces a text that must be there."""
    text = path.read_text(encoding="utf-8")
    assert old in text
    path.write_text(text.replace(old, new, 1), encoding="utf-8")


def test_the_model_says_what_the_rules_say():
    """Each kind of rule arrives with its fields, words as words and numbers as numbers."""
    knowledge = load_knowledge(GOOD / "rules")

    cause = knowledge.causes["box-overheated"]
    action = knowledge.actions["add-salt"]
    salt = knowledge.readings["salt"]
    assert knowledge.version == "0.1.0"
    assert list(knowledge.causes) == ["box-overheated", "salt-too-low", "water-too-cold"]
    assert cause.shows == {"burning-smell": "usually", "low-salt-warning": "rarely"}
    assert (
        cause.hazard,
        cause.covered_by,
        cause.file,
    ) == ("stop", "burnt-electrics", "causes/power/box-overheated.yaml")
    assert [stop.id for stop in knowledge.stops] == ["burnt-electrics"]
    assert knowledge.safety["burnt-electrics"].demands == ("keep-away",)
    assert SymptomIs("salt-below-band") == action.requires
    assert (
        action.calculator,
        action.expect.moves,
        action.expect.by.value,
        action.expect.by.unit,
    ) == ("salt-to-add", "up", 24.0, "h")
    assert action.steps.for_reader("support")[0] == "Unit off until dissolved."
    assert salt.methods["drop-test"].precision(3000) == 200.0
    assert salt.methods["test-strip"].precision(3000) == 300.0
    assert (salt.allowed.low, salt.allowed.high, salt.unit) == (0.0, 50000.0, "mg/L")
    assert knowledge.computed == {"salt-short-of-band": "salt-short-of-band"}
    assert ReadingBound("salt-band-low") == knowledge.targets["household"].ranges["salt"].low
    assert Number(2700.0, "mg/L", "made-up-practice") == knowledge.equipment["small-unit"].settings["salt-band-low"]
    assert (
        Wording("Add salt if a test says so.", "Add salt by the dose shown.")
        == knowledge.plans["first-day"].steps[1].say
    )
    assert (
        knowledge.scales.frequency["always"], knowledge.scales.other_cause_prior, knowledge.scales.other_cause_strength,
    ) == (0.97, 0.02, 0.3)  # fmt: skip
    assert knowledge.sources["made-up-practice"].kind == "common-practice"


def test_retired_rules_are_kept_apart(rules):
    """A retired rule keeps its id but takes no part."""
    change(rules / "causes/power/box-overheated.yaml", "status: stable", "status: retired\nretired-because: A test.")

    knowledge = load_knowledge(rules)

    assert "box-overheated" not in knowledge.causes
    assert knowledge.retired["cause/box-overheated"].retired_because == "A test."


def test_refused_rules_carry_their_findings(rules):
    """Rules with errors do not load; every error is there, warnings are not."""
    change(rules / "causes/salt/salt-too-low.yaml", "do: add-salt", "do: ad-salt")
    change(rules / "safety/lift-with-care.yaml", "with your legs.", "with your legs!")

    with pytest.raises(KnowledgeRefused, match="Did you mean") as caught:
        load_knowledge(rules)

    # The action is no longer used by the cause: a warning, like the exclamation mark.
    assert [finding.code for finding in caught.value.findings] == ["R040"]


def test_no_such_folder(tmp_path):
    """A folder that is not there is named."""
    with pytest.raises(UsageRefused, match="not-there"):
        load_knowledge(tmp_path / "not-there")


def test_fingerprint_is_of_what_the_rules_say(rules):
    """Comments and layout do not change the fingerprint; any word of a rule does."""
    before = load_knowledge(rules).fingerprint
    path = rules / "symptoms" / "water-cold.yaml"
    path.write_text(path.read_text(encoding="utf-8") + "\n# a remark\n", encoding="utf-8")
    same = load_knowledge(rules).fingerprint
    change(path, "margin: 2", "margin: 1")
    other = load_knowledge(rules).fingerprint

    assert before == same
    assert before != other
    assert len(before) == 64


def test_a_good_bundle_is_used(rules, no_compiling):
    """The second load reads the bundle, and says the same."""
    first = load_knowledge(rules)
    no_compiling()

    assert first == load_knowledge(rules)


def test_a_load_from_the_bundle_imports_neither_yaml_nor_jsonschema(rules):
    """A diagnosis on a good bundle pays for neither."""
    load_knowledge(rules)
    program = (
        "import sys; from saltriage.knowledge import load_knowledge; load_knowledge(sys.argv[1]); "
        "print(sorted({'yaml', 'jsonschema', 'numpy'} & set(sys.modules)))"
    )

    told = subprocess.run(
        [sys.executable, "-c", program, str(rules)], capture_output=True, text=True, check=True, env=environment()
    )

    assert told.stdout == "[]\n"


def environment():
    """The environment of another process of the same checkout."""
    return {**os.environ, "PYTHONPATH": str(ENGINE)}


@pytest.mark.parametrize(
    "damage",
    [
        lambda raw: b"",
        lambda raw: raw[:-1],
        lambda raw: raw + b" ",
        lambda raw: raw.replace(b"2700", b"2701", 1),
        lambda raw: raw.replace(b'"format":1', b'"format":0', 1),
        lambda raw: raw.replace(b'"saltriage":"', b'"saltriage":"9', 1),
        lambda raw: b"[" * 100_000,
        lambda raw: b"null\n{}",
        lambda raw: b"\xff\xfe" + raw,
        lambda raw: b'{"whole": []}\n',
    ],
    ids=["empty", "cut", "longer", "number", "format", "program", "nest", "null", "bytes", "odd"],
)
def test_a_damaged_or_foreign_bundle_is_ignored(rules, damage):
    """Anything wrong with the bundle: the rule files are read again and the bundle is mended."""
    first = load_knowledge(rules)
    path = bundle_file(rules)
    good = path.read_bytes()
    assert good != damage(good)
    path.write_bytes(damage(good))
    assert read_bundle(path) is None

    assert first == load_knowledge(rules)
    assert good == path.read_bytes()


def test_a_stale_bundle_is_ignored(rules):
    """A rule changed, added, renamed or removed after the bundle was written is seen."""
    load_knowledge(rules)
    change(rules / "symptoms/water-cold.yaml", "value: 15", "value: 14")

    changed = load_knowledge(rules).symptoms["water-cold"].derived
    assert changed.bounds[0].value == 14.0

    (rules / "plans" / "first-day.yaml").unlink()
    assert load_knowledge(rules).plans == {}


def test_a_bundle_of_broken_rules_is_never_written(rules):
    """What did not pass the check leaves no bundle behind."""
    change(rules / "causes/salt/salt-too-low.yaml", "do: add-salt", "do: ad-salt")

    with pytest.raises(KnowledgeRefused):
        load_knowledge(rules)

    assert not bundle_file(rules).exists()


def test_a_folder_that_cannot_be_written_to_is_no_matter(rules, monkeypatch, tmp_path):
    """Without a place for the bundle the rules still load, and nothing is left behind."""
    (tmp_path / "file").write_text("in the way")
    monkeypatch.setenv("SALTRIAGE_CACHE", str(tmp_path / "file" / "cache"))

    assert load_knowledge(rules).version == "0.1.0"
    assert not bundle_file(rules).exists()


def test_a_failed_write_leaves_nothing(rules, monkeypatch, cache):
    """When the last step fails, neither a half bundle nor a temporary file stays."""

    def fail(*_):
        raise PermissionError("read-only")

    monkeypatch.setattr(os, "replace", fail)

    assert load_knowledge(rules).version == "0.1.0"
    assert list(cache.iterdir()) == []


def test_where_the_bundle_is_kept(monkeypatch, tmp_path):
    """$SALTRIAGE_CACHE, else $XDG_CACHE_HOME/saltriage, else ~/.cache/saltriage; one file for each folder of rules."""
    assert tmp_path / "cache" == bundle_file(GOOD / "rules").parent
    monkeypatch.delenv("SALTRIAGE_CACHE")
    monkeypatch.setenv("XDG_CACHE_HOME", str(tmp_path / "xdg"))
    assert tmp_path / "xdg" / "saltriage" == bundle_file(GOOD / "rules").parent
    monkeypatch.delenv("XDG_CACHE_HOME")
    monkeypatch.setenv("HOME", str(tmp_path / "home"))
    assert tmp_path / "home" / ".cache" / "saltriage" == bundle_file(GOOD / "rules").parent
    assert bundle_file(GOOD / "rules") != bundle_file(tmp_path)


def test_two_processes_at_once(rules):
    """Processes that start together on a cold cache all get the same knowledge, and leave a good bundle."""
    program = (
        "import sys; from saltriage.knowledge import load_knowledge; print(load_knowledge(sys.argv[1]).fingerprint)"
    )
    started = [
        subprocess.Popen(
            [sys.executable, "-c", program, str(rules)], stdout=subprocess.PIPE, text=True, env=environment()
        )
        for _ in range(3)
    ]
    told = {process.communicate()[0] for process in started}

    assert [process.returncode for process in started] == [0, 0, 0]
    assert {load_knowledge(rules).fingerprint + "\n"} == told
    assert [bundle_file(rules)] == list(bundle_file(rules).parent.iterdir())


def test_a_shipped_bundle_is_trusted_if_it_fits(rules, tmp_path, monkeypatch, no_compiling):
    """An installed package brings its bundle: used while its hash agrees with the rules, ignored otherwise."""
    shipped = tmp_path / "rules.bundle.json"
    compile_bundle(rules, shipped)
    monkeypatch.setattr(load_module, "shipped_bundle", lambda: shipped)
    monkeypatch.setattr(load_module, "data_folder", lambda _: rules)
    fits = load_knowledge()
    assert not bundle_file(rules).exists()

    change(rules / "symptoms/water-cold.yaml", "value: 15", "value: 14")
    changed = load_knowledge()
    assert fits.fingerprint != changed.fingerprint

    change(rules / "symptoms/water-cold.yaml", "value: 14", "value: 15")
    no_compiling()
    assert fits == load_knowledge()


def test_compiling_says_where_it_cannot_write(rules, tmp_path):
    """A build that cannot write its bundle fails."""
    (tmp_path / "file").write_text("in the way")

    with pytest.raises(OSError, match="cannot be written"):
        compile_bundle(rules, tmp_path / "file" / "bundle.json")


@settings(max_examples=60, deadline=None)
@given(
    st.dictionaries(
        st.text(max_size=8),
        st.dictionaries(st.text(max_size=5), st.integers() | st.text(max_size=5), max_size=3),
        max_size=4,
    )
)
def test_what_is_written_is_read(data):
    """A bundle comes back as it was written, whatever its texts."""
    data = json.loads(json.dumps(data))
    bundle = KnowledgeBundle(data, dict.fromkeys(data, "0"), fingerprint(data), "whole")
    path = bundle_file(Path("any"))

    assert write_bundle(path, bundle)
    assert bundle == read_bundle(path, "whole")
    assert read_bundle(path, "other") is None


def test_contents_know_every_file(rules):
    """Names and bytes of all files count; hidden files and editors' copies do not."""
    before = contents_of(rules)
    (rules / ".hidden").write_text("x")
    (rules / "knowledge.yaml~").write_text("x")

    assert before == contents_of(rules)
    assert before.whole != contents_of(rules / "symptoms").whole
    (rules / "symptoms" / "new.yaml").write_text("x")
    assert before.whole != contents_of(rules).whole


@pytest.mark.parametrize(
    ("at", "old", "new"),
    [
        ("causes/salt/salt-too-low.yaml", "do: add-salt", "do: ad-salt"),
        ("causes/salt/salt-too-low.yaml", "cause: water-too-cold", "cause: salt-too-low"),
        ("symptoms/water-cold.yaml", "margin: 2", "margn: 2"),
        ("sources.yaml", "kind: common-practice", "kind: hearsay"),
        ("safety/burnt-electrics.yaml", "demands: [keep-away]", "demands: []"),
    ],
)
def test_one_file_is_checked_beside_the_bundle(rules, monkeypatch, at, old, new):
    """With a bundle at hand only the file that changed is read, and what is found in it is the same."""
    load_knowledge(rules)
    change(rules / at, old, new)
    whole = [finding for finding in check(rules, False) if finding.file.endswith(at)]
    read: list[str] = []

    def counting(raw, shown):
        read.append(shown)
        return read_yaml(raw, shown)

    monkeypatch.setattr("saltriage.knowledge.rule_files.read_yaml", counting)

    assert check_file(rules / at, rules, False) == whole
    for_maintainers = [(rules / name).as_posix() for name in ("waivers.yaml", "wording.yaml")]  # in no bundle
    assert sorted(read) == sorted([*for_maintainers, (rules / at).as_posix()])
