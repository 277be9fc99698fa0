"""The tables against a reference implementation of Data Package and Table Schema."""

from __future__ import annotations

import frictionless
import pytest

from tests.docs.readme import TOP


@pytest.mark.parametrize("name", ["lexicons", "models"])
def test_tables_are_a_valid_data_package(name: str) -> None:
    """Types, constraints, keys and foreign keys as frictionless reads them."""
    report = _validate(name)
    assert report.valid, report.flatten(["rowNumber", "fieldName", "type", "message"])[:5]


def _validate(name: str) -> frictionless.Report:
    with frictionless.system.use_context(trusted=True):
        return frictionless.Package(str(TOP / name / "datapackage.json")).validate()
