from functools import cache

import pytest

from bot.bench.corpus import corpus_language
from bot.calls.understand import Language


@cache
def _language() -> Language:
    return corpus_language()


@pytest.fixture(scope="session")
def words() -> Language:
    return _language()
