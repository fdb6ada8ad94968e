"""The examples in the docstrings are true."""

import doctest
import importlib
import pkgutil

import pytest

import practice.measures

MODULES = [
    info.name for info in pkgutil.iter_modules(practice.measures.__path__, "practice.measures.")
]


@pytest.mark.parametrize("name", MODULES)
def test_examples_of(name):
    assert doctest.testmod(importlib.import_module(name)).failed == 0
