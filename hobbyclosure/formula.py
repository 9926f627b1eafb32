"""Formulas read from a function's own source and run again on Pint quantities.

Formula, numbers and units cannot drift from the code: they are the same statements. Written twice:
as plain text for a terminal, as Typst maths for browser and paper.
"""

import ast
import inspect
import textwrap
from collections.abc import Callable, Iterator, Mapping
from functools import cache, lru_cache
from typing import Any

import attrs
import numpy as np

from hobbyclosure.units import quantity_text


@attrs.frozen
class Line:
    """One step: what it is, formula, the formula with numbers, result."""

    head: str
    formula: str
    numbers: str
    result: str
    maths: tuple[str, ...]  # Typst maths: head = formula, then the formula with numbers


TABLE = "table"  # what a formula shows for an array


class UnreadableError(Exception):
    """A body that is no straight arithmetic; it is shown as one step."""


@attrs.frozen
class Style:
    """How maths is written: each operation as a template."""

    fraction: str
    product: str
    power: str
    root: str
    bracket: str
    name: Callable[[str], str]
    value: Callable[[str], str]
    calls: Mapping[str, str]
    pi: str


def _typst_name(symbol: str) -> str:
    stem, _, sub = symbol.partition("_")
    base = stem if len(stem) == 1 else f'"{stem}"'
    if stem[:1] == "Δ" and len(stem) == 2:
        base = f"Delta {stem[1]}"
    if "/" in symbol:
        top, _, bottom = symbol.partition("/")
        return f"{_typst_name(top)} slash {_typst_name(bottom)}"
    return f'{base}_"{sub}"' if sub else base


PLAIN = Style(
    "{} / {}", "{} × {}", "{}^{}", "√({})", "({})", lambda s: s, lambda s: s,
    {"log": "ln({})", "exp": "exp({})", "sin": "sin({})", "cos": "cos({})",
     "arctan": "arctan({})", "minimum": "min({}, {})", "maximum": "max({}, {})"},
    "π",
)  # fmt: skip
TYPST = Style(
    "frac({}, {})", "{} dot {}", "{}^({})", "sqrt({})", "lr(({}))", _typst_name,
    lambda s: '"' + s.replace(" ", "\u2009") + '"',
    {"log": "ln lr(({}))", "exp": "e^({})", "sin": "sin lr(({}))", "cos": "cos lr(({}))",
     "arctan": "arctan lr(({}))", "minimum": "min lr(({}, {}))", "maximum": "max lr(({}, {}))"},
    "pi",
)  # fmt: skip
_RANK = {ast.Add: 1, ast.Sub: 1, ast.Mult: 2, ast.Div: 2, ast.Pow: 4}


@attrs.frozen
class Scope:
    """Where a formula is read: values, symbols, the function's globals, and inner results."""

    values: dict[str, Any]
    symbols: dict[str, str]
    globals: dict[str, Any]
    inner: dict[int, tuple[str, Any]] = attrs.field(factory=dict)

    def value(self, node: ast.expr) -> Any:
        """What an expression comes to."""
        return eval(_code(node), self.globals, self.values)  # only our own source is ever run


@lru_cache(maxsize=4096)
def _code(node: ast.expr) -> Any:
    """An expression compiled; nodes are kept by `_body`, so each is compiled once."""
    return compile(ast.Expression(node), "<working>", "eval")


def _called(node: ast.Call) -> str:
    f = node.func
    return f.attr if isinstance(f, ast.Attribute) else f.id if isinstance(f, ast.Name) else ""


def _taken(node: ast.expr, scope: Scope) -> ast.expr:
    """A choice is replaced by the branch it takes."""
    if isinstance(node, ast.Call) and _called(node) == "where":
        return _taken(node.args[1] if scope.value(node.args[0]) else node.args[2], scope)
    return node


def render(node: ast.expr, scope: Scope, style: Style, numbers: bool, system: str) -> str:
    """A formula in symbols, or with every name replaced by its value and unit."""
    node = _taken(node, scope)

    def go(n: ast.expr, rank: int = 0) -> str:
        n = _taken(n, scope)
        text = render(n, scope, style, numbers, system)
        low = isinstance(n, ast.BinOp) and _RANK[type(n.op)] < rank
        negative = isinstance(n, ast.UnaryOp) and rank > 1
        fraction = style is TYPST and isinstance(n, ast.BinOp) and isinstance(n.op, ast.Div)
        return (
            style.bracket.format(text)
            if (low and not (fraction and rank < 4)) or negative
            else text
        )

    if isinstance(node, ast.Constant):
        return style.value(f"{node.value:g}" if isinstance(node.value, float) else str(node.value))
    if isinstance(node, ast.Attribute) and node.attr == "pi":
        return style.pi
    if isinstance(node, ast.Name):
        if not numbers:
            return style.name(scope.symbols.get(node.id, node.id))
        return style.value(value_text(scope.values[node.id], system))
    if isinstance(node, ast.UnaryOp) and isinstance(node.op, ast.USub):
        return f"−{go(node.operand, 2)}"
    if isinstance(node, ast.BinOp):
        return _binary(node, go, style, numbers, scope)
    if isinstance(node, ast.Call):
        if id(node) in scope.inner:
            head, value = scope.inner[id(node)]
            return style.value(value_text(value, system)) if numbers else style.name(head)
        name = _called(node)
        if name == "sqrt":
            return style.root.format(go(node.args[0]))
        if name in style.calls:
            return style.calls[name].format(*map(go, node.args))
    raise UnreadableError(ast.unparse(node))


def _binary(node: ast.BinOp, go: Callable[..., str], style: Style, numbers: bool,
            scope: Scope) -> str:  # fmt: skip
    op = type(node.op)
    if op is ast.Div:
        inner = (go(node.left), go(node.right)) if style is TYPST else (
            go(node.left, 2), go(node.right, 3))  # fmt: skip
        return style.fraction.format(*inner)
    if op is ast.Pow:
        base = go(node.left, 5)
        if numbers and (" " in base or "\u2009" in base) and not base.startswith(("(", "lr(")):
            base = style.bracket.format(base)  # (95.2 mm)², not 95.2 mm²
        exponent = go(node.right)
        if style is PLAIN and exponent in ("2", "3", "4"):
            return base + "²³⁴"["234".index(exponent)]
        return style.power.format(base, exponent)
    if op is ast.Mult:
        return style.product.format(go(node.left, 2), go(node.right, 2))
    if op in (ast.Add, ast.Sub):
        sign = "+" if op is ast.Add else "−"
        return f"{go(node.left, 1)} {sign} {go(node.right, 1 if op is ast.Add else 2)}"
    raise UnreadableError(ast.unparse(node))


def value_text(value: Any, system: str) -> str:
    """A value in a formula; a table is called one."""
    if isinstance(value, str):
        return value
    axes = np.ndim(getattr(value, "magnitude", value))
    return TABLE if axes else quantity_text(value, system)


@cache
def parameters(fn: Callable[..., Any]) -> tuple[str, ...]:
    """Names of a function's parameters."""
    return tuple(inspect.signature(fn).parameters)


@cache
def _body(fn: Callable[..., Any]) -> list[ast.stmt]:
    source = textwrap.dedent(inspect.getsource(fn))
    tree = ast.parse(source).body[0]
    if not isinstance(tree, ast.FunctionDef):
        raise UnreadableError(source)
    return tree.body[1:] if ast.get_docstring(tree) is not None else tree.body


def steps(
    fn: Callable[..., Any], values: dict[str, Any], symbols: dict[str, str], head: list[str],
    system: str,
) -> tuple[list[Line], list[Any]]:  # fmt: skip
    """Lines of a function and what it returns; `head` names each thing returned."""
    scope = Scope(dict(values), dict(symbols), fn.__globals__)
    groups: list[tuple[str, list[Line], set[str]]] = []
    results: list[Any] = []
    wanted: set[str] = set()
    for stmt in _body(fn):
        if isinstance(stmt, ast.Assign):
            for target, expr in _pairs(stmt.targets[0], stmt.value):
                lines = _step(target, expr, scope, system)
                groups.append((target, lines, _names(expr, scope)))
        elif isinstance(stmt, ast.Return) and stmt.value is not None:
            exprs = stmt.value.elts if isinstance(stmt.value, ast.Tuple) else [stmt.value]
            for name, expr in zip(head, exprs, strict=True):
                made = _taken(expr, scope)
                if isinstance(made, ast.Name) and made.id in {g[0] for g in groups if g[1]}:
                    _rename(groups, made.id, scope.symbols.get(name, name))
                    scope.values[name] = scope.values[made.id]
                    results.append(scope.values[name])
                    wanted.add(made.id)
                    continue
                lines = _step(name, expr, scope, system, last=True)
                results.append(scope.values[name])
                groups.append((name, lines, _names(expr, scope)))
                wanted.add(name)
        else:
            raise UnreadableError(ast.unparse(stmt))
    out: list[list[Line]] = []
    for target, lines, names in reversed(groups):  # what no taken branch needs is left out
        if target in wanted:
            out.append(lines)
            wanted |= names
    return [line for lines in reversed(out) for line in lines], results


def _rename(groups: list[tuple[str, list[Line], set[str]]], target: str, head: str) -> None:
    """A local that is handed straight back bears the name of what is returned."""
    lines = next(g[1] for g in groups if g[0] == target)
    last, was = lines[-1], TYPST.name(lines[-1].head)
    first = TYPST.name(head) + last.maths[0].removeprefix(was)
    lines[-1] = attrs.evolve(last, head=head, maths=(first, *last.maths[1:]))


def _pairs(target: ast.expr, value: ast.expr) -> Iterator[tuple[str, ast.expr]]:
    if isinstance(target, ast.Tuple) and isinstance(value, ast.Tuple):
        for t, v in zip(target.elts, value.elts, strict=True):
            yield from _pairs(t, v)
    elif isinstance(target, ast.Name):
        yield target.id, value
    else:
        raise UnreadableError(ast.unparse(target))


def _names(expr: ast.expr, scope: Scope) -> set[str]:
    expr = _taken(expr, scope)
    found: set[str] = set()
    for child in ast.iter_child_nodes(expr):
        if isinstance(child, ast.expr):
            found |= _names(child, scope)
    return found | ({expr.id} if isinstance(expr, ast.Name) else set())


def _step(target: str, expr: ast.expr, scope: Scope, system: str, last: bool = False) -> list[Line]:
    expr = _taken(expr, scope)
    lines: list[Line] = []
    if isinstance(expr, ast.Name) and not last:  # another name for the same thing: no step
        scope.symbols[target] = scope.symbols.get(expr.id, expr.id)
        scope.values[target] = scope.values[expr.id]
        return []
    if isinstance(expr, ast.Call) and _own(expr, scope):
        inner, value = _inner(expr, scope, target, system)
        scope.values[target] = value
        return inner
    for call in [n for n in _walk_taken(expr, scope) if isinstance(n, ast.Call) and _own(n, scope)]:
        name = _called(call).replace("_", " ")
        inner, value = _inner(call, scope, name, system)
        scope.inner[id(call)] = (name, value)
        lines += inner
    scope.values[target] = scope.value(expr)
    head = scope.symbols.get(target, target)
    return [*lines, _line(head, expr, scope, scope.values[target], system)]


def _walk_taken(expr: ast.expr, scope: Scope) -> Iterator[ast.expr]:
    expr = _taken(expr, scope)
    yield expr
    if not (isinstance(expr, ast.Call) and _own(expr, scope)):
        for child in ast.iter_child_nodes(expr):
            if isinstance(child, ast.expr):
                yield from _walk_taken(child, scope)


def _own(call: ast.Call, scope: Scope) -> bool:
    f = scope.globals.get(_called(call)) if isinstance(call.func, ast.Name) else None
    return inspect.isfunction(f)


def _inner(call: ast.Call, scope: Scope, head: str, system: str) -> tuple[list[Line], Any]:
    fn = scope.globals[_called(call)]
    bound: list[Line] = []
    values: dict[str, Any] = {}
    symbols: dict[str, str] = {}
    for param, arg in zip(parameters(fn), call.args, strict=True):
        arg = _taken(arg, scope)
        values[param] = scope.value(arg)
        if isinstance(arg, ast.Name):
            symbols[param] = scope.symbols.get(arg.id, arg.id)
        elif not isinstance(arg, ast.Constant):
            bound.append(_line(param, arg, scope, values[param], system))
    symbols[head] = scope.symbols.get(head, head)
    try:
        lines, results = steps(fn, values, symbols, [head], system)
        return bound + lines, results[0]
    except UnreadableError:
        value = scope.value(call)
        words = fn.__name__.replace("_", " ")
        args = [value_text(v, system) for v in values.values()]
        names = [symbols.get(p, p) for p in values if value_text(values[p], system) != TABLE]
        shown = [a for a in args if a != TABLE]
        text = value_text(value, system)
        formula, numbers = f"{words}({', '.join(names)})", f"{words}({', '.join(shown)})"
        listed = ", ".join(map(TYPST.name, names))
        maths = f"{TYPST.name(symbols[head])} = {TYPST.value(words)} lr(({listed}))"
        told = f"{TYPST.value(words)} lr(({', '.join(map(TYPST.value, shown))}))"
        line = Line(symbols[head], formula, numbers, text, (maths, told))
        return [*bound, line], value


def _line(head: str, expr: ast.expr, scope: Scope, value: Any, system: str) -> Line:
    forms = [render(expr, scope, PLAIN, n, system) for n in (False, True)]
    maths = [render(expr, scope, TYPST, n, system) for n in (False, True)]
    text = value_text(value, system)
    said = forms[1] in (forms[0], text)
    return Line(
        head, forms[0], "" if said else forms[1], text,
        (f"{TYPST.name(head)} = {maths[0]}", *([] if said else [maths[1]])),
    )  # fmt: skip
