"""No measure without a source outside the project."""

import importlib
import inspect
import pkgutil

import pytest

import practice.measures
import tests.outside as checks_package
from practice.measures.answers import BadData
from tests.outside.sources import CHECKS

# They only refuse bad input; nothing is computed.
DOORS = {"practice.measures.arrays", "practice.measures.rates.counts"}


def public_functions() -> dict[str, object]:
    found = {}
    for module_info in pkgutil.iter_modules(practice.measures.__path__, "practice.measures."):
        module = importlib.import_module(module_info.name)
        for name, function in inspect.getmembers(module, inspect.isfunction):
            full = f"{module_info.name}.{name}"
            own = function.__module__ == module_info.name and not name.startswith("_")
            if own and module_info.name not in DOORS and full not in DOORS:
                found[full] = function
    return found


@pytest.fixture(scope="module", autouse=True)
def all_checks_loaded():
    for module_info in pkgutil.iter_modules(checks_package.__path__, "tests.outside."):
        importlib.import_module(module_info.name)


def test_every_public_function_names_an_outside_check():
    assert sorted(set(public_functions()) - set(CHECKS)) == []


def test_every_public_function_says_source_and_errors():
    silent = []
    for name, function in public_functions().items():
        doc = inspect.getdoc(function) or ""
        says_source = (
            "References" in doc
            or "House rule" in doc
            or "House rule" in (inspect.getmodule(function).__doc__ or "")
        )
        if not says_source:
            silent.append(name)
    assert silent == []


# Sources that are not print: libraries, our own rules and runs, what follows from a definition.
NOT_PRINTED = (
    "scipy", "statsmodels", "numpy", "statistics", "DescTools", "masscor", "House", "Simulation",
    "Delta method", "Definition", "Exact", "R ", "pi ",
)  # fmt: skip


def test_there_are_enough_checks_and_enough_printed_ones():
    sources = [source for each in CHECKS.values() for source in each]
    printed = [source for source in sources if not source.startswith(NOT_PRINTED)]
    print(f"{len(sources)} outside checks, {len(printed)} of them of printed sources,")
    print(f"from {len(set(printed))} places in print.")
    assert len(sources) >= 60
    assert len(printed) >= 25
    assert len(set(printed)) >= 25


@pytest.mark.parametrize("bad", [[float("nan")], [float("inf")], [-1.0], ["fast"], [[1.0]]])
def test_impossible_numbers_are_refused_by_name(bad):
    from practice.measures.change import steadiness
    from practice.measures.wedges import robust_spread

    for measure in (lambda x: steadiness(x, 1.9), robust_spread):
        with pytest.raises(BadData):
            measure(bad)


def test_an_empty_list_is_too_little_not_an_error():
    from practice.measures.wedges import robust_spread

    assert robust_spread([]).missing == 5
