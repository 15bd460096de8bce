"""The same lines through Dask's scheduler: a cluster of two workers on this machine. Skipped without `distributed`."""

import warnings

import pytest

from saltriage.errors import UsageRefused

distributed = pytest.importorskip("distributed")

from saltriage.batch import cluster  # noqa: E402  after the skip

pytestmark = pytest.mark.filterwarnings("ignore")  # the cluster's own libraries warn of what they do to each other


@pytest.fixture(scope="module")
def client(tmp_path_factory):
    """Two worker processes of one thread each, reached on this machine only."""
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")
        with (
            distributed.LocalCluster(
                n_workers=2,
                threads_per_worker=1,
                processes=True,
                dashboard_address=None,
                host="127.0.0.1",
                local_directory=str(tmp_path_factory.mktemp("dask")),
            ) as local,
            distributed.Client(local) as client,
        ):
            yield client


def test_cluster_gives_the_same_bytes(client, many, whole, tmp_path):
    """What two workers of a cluster make of the lines is what one process makes of them."""
    summary = cluster.run_on_cluster(client, many, tmp_path / "out")

    assert (tmp_path / "out").read_bytes() == whole
    assert summary.lines == len(whole.splitlines())


def test_workers_with_other_rules_are_refused(client, many, tmp_path, monkeypatch):
    """A result must not depend on which machine a line came to."""
    monkeypatch.setattr(cluster, "fingerprint_here", fingerprint_by_process)

    with pytest.raises(UsageRefused, match="other rules on tcp://"):
        cluster.run_on_cluster(client, many, tmp_path / "out")

    assert not list(tmp_path.iterdir())


def fingerprint_by_process() -> int:
    import os

    return os.getpid()
