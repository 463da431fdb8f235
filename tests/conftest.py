import os

import pytest


@pytest.hookimpl(optionalhook=True)
def pytest_xdist_auto_num_workers() -> int:
    """Two more than there are processors: many tests wait for processes, disks and answers."""
    return (os.cpu_count() or 1) + 2
