"""The only conftest: the shipped tables, loaded once."""

from __future__ import annotations

import pytest

from listingrisk.tables.lexicon import Lexicon, load_lexicon


@pytest.fixture(scope="session")
def lexicon() -> Lexicon:
    """The shipped lexicon."""
    return load_lexicon()
