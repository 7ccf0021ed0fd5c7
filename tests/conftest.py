"""One memory of properties for the whole run, shared by its workers: no test depends on what a session left behind."""

import os
from collections.abc import Iterator
from pathlib import Path

import pytest


@pytest.fixture(scope="session", autouse=True)
def properties_of_this_run(tmp_path_factory: pytest.TempPathFactory) -> Iterator[None]:
    """A refrigerant by composition is computed once a run, never read from the user's own memory."""
    base = tmp_path_factory.getbasetemp()
    # with pytest-xdist every worker has its own folder below the run's
    run = base.parent if "PYTEST_XDIST_WORKER" in os.environ else base
    before = os.environ.get("PACKET_MEMORY")
    os.environ["PACKET_MEMORY"] = str(Path(run) / "properties")
    yield
    if before is None:
        del os.environ["PACKET_MEMORY"]
    else:
        os.environ["PACKET_MEMORY"] = before
