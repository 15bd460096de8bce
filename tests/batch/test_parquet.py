"""Parquet in and out: the same texts as by lines. Skipped where pyarrow is not installed."""

import pytest

from saltriage.errors import UsageRefused

arrow = pytest.importorskip("pyarrow")
parquet = pytest.importorskip("pyarrow.parquet")

from saltriage.batch.parquet import run_parquet  # noqa: E402  after the skip


@pytest.fixture
def table(many, tmp_path):
    """The sampled cases as a Parquet file, another column beside them."""
    texts = many.read_text(encoding="utf-8").splitlines()
    parquet.write_table(arrow.table({"number": range(len(texts)), "case": texts}), tmp_path / "in.parquet")
    return tmp_path / "in.parquet"


def results(path) -> list[bytes]:
    return [text.encode() for text in parquet.read_table(path)["result"].to_pylist()]


def test_parquet_to_parquet(table, whole, tmp_path):
    """Row n of the output is line n of the run by lines."""
    summary = run_parquet(table, tmp_path / "out.parquet")

    assert results(tmp_path / "out.parquet") == whole.splitlines()
    assert summary.lines == len(whole.splitlines())
    assert not (tmp_path / "out.parquet.part").exists()


def test_lines_to_parquet_and_parquet_to_lines(many, table, whole, tmp_path):
    """Either side may be lines."""
    run_parquet(many, tmp_path / "out.parquet", workers=2)
    run_parquet(table, tmp_path / "out.ndjson")

    assert results(tmp_path / "out.parquet") == whole.splitlines()
    assert (tmp_path / "out.ndjson").read_bytes() == whole


def test_empty_row_is_an_error_line(tmp_path):
    """A missing text counts as a refused case."""
    parquet.write_table(arrow.table({"case": [None, "{}"]}), tmp_path / "in.parquet")

    summary = run_parquet(tmp_path / "in.parquet", tmp_path / "out.ndjson")

    assert summary.lines == 2
    assert (tmp_path / "out.ndjson").read_bytes().startswith(b'{"line":1,"error":')


def test_wrong_files_are_named(tmp_path, many):
    """No such column, no Parquet, a target that exists: refused by name, nothing left behind."""
    parquet.write_table(arrow.table({"text": ["{}"]}), tmp_path / "in.parquet")
    (tmp_path / "bad.parquet").write_bytes(b"not parquet at all")
    (tmp_path / "there.parquet").write_bytes(b"precious")

    with pytest.raises(UsageRefused, match="no column 'case'; found text"):
        run_parquet(tmp_path / "in.parquet", tmp_path / "out.parquet")
    with pytest.raises(UsageRefused, match=r"bad\.parquet: not a Parquet file"):
        run_parquet(tmp_path / "bad.parquet", tmp_path / "out.parquet")
    with pytest.raises(UsageRefused, match="exists"):
        run_parquet(many, tmp_path / "there.parquet")

    assert sorted(path.name for path in tmp_path.iterdir()) == ["bad.parquet", "in.parquet", "there.parquet"]


def test_missing_pyarrow_is_said(monkeypatch, many, tmp_path):
    """Without pyarrow the refusal says what to install."""
    import sys

    monkeypatch.setitem(sys.modules, "pyarrow", None)

    with pytest.raises(UsageRefused, match="pip install pyarrow"):
        run_parquet(many, tmp_path / "out.parquet")
