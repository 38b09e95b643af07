"""Laws of the house that no single room can hold: signs, words, docstrings, arrows beyond the import contracts."""

from __future__ import annotations

import ast
import re
from collections.abc import Iterator
from functools import cache
from pathlib import Path

import pytest

from steadyrest.wording.say import gaps, words

HOME = Path(__file__).resolve().parent.parent
PACKAGE = HOME / "src" / "steadyrest"
MODULES = sorted(PACKAGE.rglob("*.py"))


@cache
def text_of(path: Path) -> str:
    return path.read_text(encoding="utf-8")


@cache
def tree_of(path: Path) -> ast.Module:
    return ast.parse(text_of(path))


def name(path: Path) -> str:
    return str(path.relative_to(HOME))


@pytest.fixture(scope="module", autouse=True)
def _trees_are_let_go() -> Iterator[None]:
    yield
    tree_of.cache_clear()


def trees(*said: str) -> Iterator[tuple[Path, ast.Module]]:
    """Each module in whose text one of these words stands (no word: each module), read once."""
    for path in MODULES:
        if not said or any(word in text_of(path) for word in said):
            yield path, tree_of(path)


def calls(tree: ast.AST) -> Iterator[ast.Call]:
    return (node for node in ast.walk(tree) if isinstance(node, ast.Call))


@pytest.mark.parametrize("package", [p for p in MODULES if p.name == "__init__.py"], ids=name)
def test_every_package_has_a_sign_and_nothing_behind_it(package: Path) -> None:
    tree = tree_of(package)
    assert ast.get_docstring(tree), "the package's sign is missing"
    rest = [
        node for node in tree.body[1:] if not isinstance(node, ast.ImportFrom | ast.Import | ast.Assign | ast.AnnAssign)
    ]
    assert not rest, "code lives in modules with a name"


def reasons(tree: ast.AST) -> Iterator[tuple[int, str, set[str] | None]]:
    """Reasons made in this module: line, key, and the names given (None where they are not written out)."""
    for call in calls(tree):
        called = call.func.attr if isinstance(call.func, ast.Attribute) else getattr(call.func, "id", "")
        if called not in ("because", "Reason") or not call.args or not isinstance(call.args[0], ast.Constant):
            continue
        given: set[str] | None
        if called == "because":
            open_ended = any(k.arg is None for k in call.keywords)
            given = None if open_ended else {k.arg or "" for k in call.keywords} - {"source"}
        else:
            given = None
        yield call.lineno, str(call.args[0].value), given


def test_every_reason_has_a_sentence_and_every_sentence_gets_what_it_names() -> None:
    missing: list[str] = []
    for path, tree in trees("because(", "Reason("):
        for line, key, given in reasons(tree):
            if key not in words():
                missing.append(f"{name(path)}:{line}: {key} has no sentence")
            elif given is not None and (lack := gaps(words()[key]) - given):
                missing.append(f"{name(path)}:{line}: {key} does not give {sorted(lack)}")
    assert not missing, "\n".join(missing)


def test_every_sentence_has_a_reason_that_is_made_somewhere() -> None:
    # Keys may be composed (f"limit.{kind}"), so a sentence counts as used if its text stands in any module.
    text = "\n".join(map(text_of, MODULES))
    data = "\n".join(p.read_text(encoding="utf-8") for p in PACKAGE.rglob("*.toml") if p.parent.name != "words")
    composed = set(re.findall(r'f"([a-z_]+)\.[^"]*\{', text))
    unused = [k for k in words() if f'"{k}"' not in text and f'"{k}"' not in data and k.split(".")[0] not in composed]
    assert not unused, f"sentences that nothing says: {unused}"


def public_functions() -> Iterator[tuple[Path, ast.FunctionDef]]:
    for path, tree in trees("Args:"):
        for node in tree.body:
            if isinstance(node, ast.FunctionDef) and not node.name.startswith("_"):
                yield path, node


def test_docstrings_name_the_arguments_that_there_are() -> None:
    wrong: list[str] = []
    for path, function in public_functions():
        text = ast.get_docstring(function) or ""
        block = re.search(r"^Args:\n((?:    .*\n?|\n)*)", text, re.M)
        if not block:
            continue
        arguments = function.args
        real = [a.arg for a in (*arguments.posonlyargs, *arguments.args, *arguments.kwonlyargs)]
        real += [a.arg for a in (arguments.vararg, arguments.kwarg) if a]
        told = re.findall(r"^    (\w+(?:, \w+)*):", block[1], re.M)
        # Short ones may share a line: "skin: the mesh made ready. axis: about which."
        beside = re.findall(r"[.;] (\w+(?:, \w+)*): ", block[1])
        listed = [one.strip() for names in told for one in names.split(",")]
        listed += [one for names in beside for one in names.split(", ") if one in real]
        if set(listed) != set(real):
            wrong.append(f"{name(path)}:{function.lineno} {function.name}: says {listed}, takes {real}")
    assert not wrong, "\n".join(wrong)


def imports(path: Path) -> set[str]:
    found: set[str] = set()
    for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
        if isinstance(node, ast.Import):
            found |= {alias.name for alias in node.names}
        elif isinstance(node, ast.ImportFrom) and node.module:
            found.add(node.module)
    return found


@pytest.mark.parametrize("oracle", sorted((HOME / "tests" / "oracles").rglob("*.py")), ids=name)
def test_an_oracle_does_not_import_what_it_judges(oracle: Path) -> None:
    assert not [module for module in imports(oracle) if module.split(".")[0] == "steadyrest"]


@pytest.mark.parametrize("module", sorted((PACKAGE / "demo").rglob("scan*.py")), ids=name)
def test_the_demo_scan_shares_no_code_with_the_reader(module: Path) -> None:
    outside = {m for m in imports(module) if m.startswith("steadyrest") and not m.startswith("steadyrest.demo")}
    assert not outside


def test_no_number_table_hides_in_code() -> None:
    """Published rows belong in tables/: a literal of more than 24 numbers hides one. The demo's part is invented."""
    hidden: list[str] = []
    for path, tree in trees():
        if "demo" in path.parts:
            continue
        for node in ast.walk(tree):
            if isinstance(node, ast.Tuple | ast.List | ast.Dict):
                constants = [n for n in ast.walk(node) if isinstance(n, ast.Constant)]
                numbers = [n for n in constants if isinstance(n.value, int | float)]
                if len(numbers) > 24:
                    hidden.append(f"{name(path)}:{node.lineno}: {len(numbers)} numbers")
    assert not hidden, "\n".join(hidden)
