"""A real browser for the tests of reports, where there is one."""

import shutil
from typing import Any

import pytest

CHROMIUM = shutil.which("chromium") or shutil.which("google-chrome")


@pytest.fixture(scope="module")
def browser() -> Any:
    playwright = pytest.importorskip("playwright.sync_api")
    if CHROMIUM is None:
        pytest.skip("needs Chromium, e.g. apt-get install chromium")
    with playwright.sync_playwright() as driver:
        found = driver.chromium.launch(executable_path=CHROMIUM, args=["--no-sandbox"])
        yield found
        found.close()
