from functools import cache

import pytest

from bot.bench.corpus import corpus_language
from bot.calls.language import Language


@cache
def _language() -> Language:
    """The grammar by itself: what it proposes is tested without what weighs it."""
    return corpus_language(networks=False)


@pytest.fixture(scope="session")
def words() -> Language:
    return _language()


@cache
def _read() -> Language:
    return corpus_language()


@pytest.fixture(scope="session")
def read() -> Language:
    """The language as a boat has it: the networks read, the grammar proposes beside them."""
    return _read()
