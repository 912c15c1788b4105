"""Every public function of the timber package says its units, its errors and its source, and its example holds."""

import doctest
import importlib
import inspect
import pkgutil
import re
from collections.abc import Callable, Iterator
from types import ModuleType
from typing import Any

import pytest

from inspections import timber

MODULES = [
    importlib.import_module(f"{timber.__name__}.{found.name}") for found in pkgutil.iter_modules(timber.__path__)
]
UNIT = re.compile(
    r"\bmm²?|°C?|%|\bk?Pa\b|\bMPa\b|\bN\b|\bkJ/mol\b|\bhours?\b|\bh\b|\bdays?\b|\bdegrees\b|\bpoints\b|\bm²/s\b"
    r"|\b(?:no|without) unit\b|\bin the unit\b"
)
STANDING = re.compile(
    r"a standard\b|\bstandards\b|a handbook|a paper|a guide|textbook|common practice|from memory|published method"
    r"|needs none",
    re.IGNORECASE,
)


def _functions() -> Iterator[tuple[str, Callable[..., Any]]]:
    for module in MODULES:
        for name in getattr(module, "__all__", []):
            member = getattr(module, name)
            if inspect.isroutine(member) or hasattr(member, "__wrapped__"):
                yield f"{module.__name__.rsplit('.', 1)[-1]}.{name}", member


FUNCTIONS = dict(_functions())


def _part(text: str, title: str) -> str:
    """What stands under a heading of a docstring, up to the next heading or the example."""
    found = re.search(rf"^{title}:(.*?)(?=^[A-Z][a-z]+:|^>>>|\Z)", text, re.DOTALL | re.MULTILINE)
    return found.group(1).strip() if found else ""


def test_there_are_functions_to_read() -> None:
    assert "fastening.wood_screw_withdrawal_n" in FUNCTIONS
    assert "moisture.equilibrium_moisture_content_pct" in FUNCTIONS
    assert len(FUNCTIONS) > 25


@pytest.mark.parametrize("name", FUNCTIONS)
def test_the_docstring_names_unit_error_and_source(name: str) -> None:
    function = FUNCTIONS[name]
    text = inspect.getdoc(function) or ""
    missing = [
        parameter
        for parameter in inspect.signature(function).parameters
        if not re.search(rf"^\s*{parameter}\b.*:", _part(text, "Args"), re.MULTILINE)
    ]
    assert not missing, f"{name} says nothing of {missing}"
    assert UNIT.search(text), f"{name} names no unit"
    assert _part(text, "Raises"), f"{name} names no error"
    source = _part(text, "Source")
    assert STANDING.search(source), f"{name} does not say what kind of source it has: {source!r}"
    assert ">>>" in text, f"{name} has no example"


@pytest.mark.parametrize("name", FUNCTIONS)
def test_figures_are_given_by_name(name: str) -> None:
    parameters = inspect.signature(FUNCTIONS[name]).parameters.values()
    positional = [
        parameter.name
        for parameter in parameters
        if parameter.kind is not inspect.Parameter.KEYWORD_ONLY and parameter.annotation not in (str, "str")
    ]
    assert not positional, f"{name} takes {positional} by position"


@pytest.mark.parametrize("module", MODULES, ids=lambda module: module.__name__.rsplit(".", 1)[-1])
def test_the_examples_hold(module: ModuleType) -> None:
    tried = doctest.testmod(module)
    assert tried.failed == 0
