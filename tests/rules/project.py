"""What the rule tests read: our modules, their imports, and the physics that a node calls."""

import ast
import inspect
import pkgutil
import sys
import textwrap
from collections.abc import Callable, Iterator
from importlib import import_module
from pathlib import Path
from typing import Any

import hobbyclosure
import hobbyclosure.physics
from hobbyclosure.graph import CHECKS, QUANTITIES, Check, Quantity

ROOT = Path(__file__).parents[2]
NODES: dict[str, Check | Quantity] = {**QUANTITIES, **CHECKS}


def modules(top: str) -> dict[str, Path]:
    """Every module below a top folder, by its dotted name."""
    return {
        ".".join(path.relative_to(ROOT).with_suffix("").parts).removesuffix(".__init__"): path
        for path in sorted((ROOT / top).rglob("*.py"))
    }


def imports(path: Path) -> Iterator[str]:
    """Dotted names of all that a file imports, wherever in it."""
    for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
        if isinstance(node, ast.Import):
            yield from (alias.name for alias in node.names)
        elif isinstance(node, ast.ImportFrom):
            assert node.module is not None
            assert node.level == 0, f"{path.name} imports relatively"
            yield from (f"{node.module}.{alias.name}" for alias in node.names)


def is_ours(name: str) -> bool:
    """Whether a dotted name is of this project, else of the standard library or a package."""
    return name.split(".")[0] in ("hobbyclosure", "app", "tests", "demo_data")


def is_standard(name: str) -> bool:
    """Whether a dotted name is of Python's own library."""
    return name.split(".")[0] in sys.stdlib_module_names


def physics() -> dict[str, Callable[..., Any]]:
    """Every public physics function by "module.name"."""
    found = {}
    for info in pkgutil.iter_modules(hobbyclosure.physics.__path__):
        module = import_module(f"hobbyclosure.physics.{info.name}")
        for name, fn in inspect.getmembers(module, inspect.isfunction):
            if fn.__module__ == module.__name__ and not name.startswith("_"):
                found[f"{info.name}.{name}"] = fn
    return found


def body(fn: Callable[..., Any]) -> list[ast.stmt]:
    """Statements of a function after its docstring."""
    (tree,) = ast.parse(textwrap.dedent(inspect.getsource(fn))).body
    assert isinstance(tree, ast.FunctionDef)
    return tree.body[1:] if ast.get_docstring(tree) is not None else tree.body


def called(fn: Callable[..., Any]) -> Iterator[Callable[..., Any]]:
    """The physics functions that a function calls itself."""
    known = set(physics().values())
    for stmt in body(fn):
        for node in ast.walk(stmt):
            if isinstance(node, ast.Call) and isinstance(node.func, ast.Name):
                found = fn.__globals__.get(node.func.id)
                if inspect.isfunction(found) and found in known:
                    yield found
