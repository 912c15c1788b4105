"""The production example names every variable that the settings read, so that nobody must read the code."""

import ast
import re
from pathlib import Path

import pytest

ROOT = Path(__file__).resolve().parents[2]
EXAMPLE = (ROOT / ".env.example").read_text(encoding="utf-8")


def variables_read() -> set[str]:
    """The first argument of every `env.…("NAME", …)` in the settings package."""
    names: set[str] = set()
    for file in sorted((ROOT / "yard" / "settings").glob("*.py")):
        for node in ast.walk(ast.parse(file.read_text(encoding="utf-8"))):
            if (
                isinstance(node, ast.Call)
                and isinstance(node.func, ast.Attribute)
                and isinstance(node.func.value, ast.Name)
                and node.func.value.id == "env"
                and node.args
                and isinstance(node.args[0], ast.Constant)
            ):
                names.add(str(node.args[0].value))
    return names


def test_the_settings_read_their_variables_through_env() -> None:
    assert {"DJANGO_SECRET_KEY", "DATABASE_URL", "CELERY_BROKER_URL"} <= variables_read()


@pytest.mark.parametrize("name", sorted(variables_read()))
def test_every_variable_stands_in_the_example_under_a_comment(name: str) -> None:
    lines = EXAMPLE.splitlines()
    places = [n for n, line in enumerate(lines) if re.match(rf"#?{name}=", line)]
    assert len(places) == 1, f"{name} stands {len(places)} times in .env.example"
    above = lines[: places[0]]
    while above and re.match(r"#?[A-Z0-9_]+=", above[-1]):  # a group shares the comment above it
        above.pop()
    assert above, f"{name} has no comment in .env.example"
    assert re.match(r"# [^-]", above[-1]), f"{name} has no comment in .env.example"


@pytest.mark.parametrize("name", ["DJANGO_SECRET_KEY", "POSTGRES_PASSWORD"])
def test_secrets_are_left_to_be_filled_in(name: str) -> None:
    assert re.search(rf"^{name}=$", EXAMPLE, flags=re.MULTILINE)
