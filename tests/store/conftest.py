"""What the store's tests share."""

from __future__ import annotations

import pytest

from truehang.job import Job, load, starter


@pytest.fixture(scope="session")
def job() -> Job:
    """A small valid job."""
    return load(starter())
