"""Every public function of the timber figures says its units, its errors and its source, and its example holds."""

import doctest
import importlib
import inspect
import pkgutil
import re
from collections.abc import Callable
from types import ModuleType
from typing import Any

import pytest

import inspections.timber

MODULES = [
    importlib.import_module(f"{inspections.timber.__name__}.{found.name}")
    for found in pkgutil.iter_modules(inspections.timber.__path__)
]
# Each function is judged where it is written; other modules may offer it again.
FUNCTIONS = sorted(
    {
        (f"{offered.__module__.rpartition('.')[2]}.{offered.__qualname__}", offered)
        for module in MODULES
        for name in getattr(module, "__all__", ())
        if inspect.isroutine(offered := inspect.unwrap(getattr(module, name)))
    },
    key=lambda named: named[0],
)
SECTIONS = ("Args", "Returns", "Raises", "Source")
UNIT = re.compile(
    r"%|°C|°F|\bmm²?|\bm²|\bm³|\bml\b|\bg\b|\bkg\b|\bN\b|\bkN\b|\bMPa\b|\bkPa\b|\bPa\b|\bkJ/mol\b"
    r"|\b(day|hour|minute|second|month|point|degree)s?\b|\b(no|without) unit"
)
KIND = re.compile(
    r"\bstandard|\bhandbook|\btextbook|\bcommon practice|\bpublished|\ba paper|\bgeometry|\bmechanics|\bcounting",
    re.IGNORECASE,
)


def section(text: str, name: str) -> str:
    """What stands under a heading of a docstring, up to the next one, the example or the end."""
    found = re.search(
        rf"^{name}:[ ]*\n?(.*?)(?=^(?:{'|'.join(SECTIONS)}):|^>>>|\Z)", text, re.MULTILINE | re.DOTALL
    )
    return found.group(1).strip() if found else ""


def faults(function: Callable[..., Any]) -> list[str]:
    """What a docstring leaves unsaid, in words."""
    text = inspect.getdoc(function) or ""
    said = {name: section(text, name) for name in SECTIONS}
    found = [f"its docstring has no {name}" for name in ("Raises", "Source") if not said[name]]
    if not UNIT.search(said["Args"] + said["Returns"]):
        found.append("neither its arguments nor what it returns has a unit")
    if said["Raises"] and not re.match(r"Refused:|Nothing", said["Raises"]):
        found.append("its errors do not begin with Refused or with Nothing")
    if said["Source"] and not KIND.search(said["Source"]):
        found.append("its source does not say of what kind it is: a standard, a handbook, common practice")
    found += [
        f"its argument {name} is not explained"
        for name in inspect.signature(function).parameters
        if not re.search(rf"^\s*{name}:\s*\S", said["Args"], re.MULTILINE)
    ]
    if ">>>" not in text:
        found.append("it has no example")
    return found


def test_the_functions_that_other_programs_rely_on_are_among_them() -> None:
    names = {name for name, _ in FUNCTIONS}
    assert {"moisture.equilibrium_moisture_content_pct", "plane_sheet.fraction_lost"} <= names
    assert len(names) > 12


@pytest.mark.parametrize(("name", "function"), FUNCTIONS, ids=[name for name, _ in FUNCTIONS])
def test_a_public_function_says_its_units_its_errors_and_its_source(
    name: str, function: Callable[..., Any]
) -> None:
    assert faults(function) == [], name


@pytest.mark.parametrize("module", MODULES, ids=lambda module: module.__name__.rpartition(".")[2])
def test_every_example_of_a_module_holds(module: ModuleType) -> None:
    outcome = doctest.testmod(module)
    offers_its_own = any(function.__module__ == module.__name__ for _, function in FUNCTIONS)
    assert outcome.failed == 0
    assert (outcome.attempted > 0) >= offers_its_own


def complete(*, width_mm: float) -> float:
    """How wide it is.

    Args:
        width_mm: from 1 to 500 mm.

    Returns:
        The width in mm.

    Raises:
        Refused: it is no number.

    Source:
        Common practice, no source.

    >>> complete(width_mm=3)
    3
    """
    return width_mm


def test_a_docstring_that_says_everything_has_no_fault() -> None:
    assert faults(complete) == []


@pytest.mark.parametrize(
    ("left_out", "fault"),
    [
        ("mm", "neither its arguments nor what it returns has a unit"),
        ("Refused: it is no number.", "its docstring has no Raises"),
        ("Refused:", "its errors do not begin with Refused or with Nothing"),
        ("Common practice, no source.", "its docstring has no Source"),
        (
            "Common practice, ",
            "its source does not say of what kind it is: a standard, a handbook, common practice",
        ),
        ("width_mm: from 1 to 500 mm.", "its argument width_mm is not explained"),
        (">>> ", "it has no example"),
    ],
)
def test_a_docstring_that_leaves_something_out_is_found(left_out: str, fault: str) -> None:
    def lacking(*, width_mm: float) -> float:
        return width_mm

    lacking.__doc__ = re.sub(rf"(?<![_\w]){re.escape(left_out)}", "", complete.__doc__ or "")
    assert fault in faults(lacking)
