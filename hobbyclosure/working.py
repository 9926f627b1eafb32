"""Working of a number, read from the source that computes it and run again with units.

Formula, numbers and units cannot drift from the code: they are the same statements, evaluated on
Pint quantities. Rendered twice: as plain text for a terminal, as Typst maths for browser and paper.
"""

import ast
import inspect
import textwrap
from collections.abc import Callable, Iterator, Mapping
from functools import cache
from typing import Any

import attrs
import numpy as np

from hobbyclosure import data
from hobbyclosure.assess import Assessment, provenance
from hobbyclosure.design import MATERIAL_NUMBERS
from hobbyclosure.fields import FIELDS
from hobbyclosure.graph import CHECKS, QUANTITIES, Check, Quantity, Values
from hobbyclosure.units import Q, quantity_text

DATA_UNITS = {
    "screw_d": "m", "screw_P": "m", "screw_f_ub": "Pa", "screw_f_yb": "Pa", "screw_E": "Pa",
    "screw_hole_sigma": "m",
} | {
    f"{part}_{name}": "Pa" if name.startswith("F_") or name == "E" else ""
    for part in ("case", "closure") for name in MATERIAL_NUMBERS
} | {f"{part}_hot_T": "K" for part in ("case", "closure")}  # fmt: skip
DATA_SYMBOLS = {
    "screw_d": "d", "screw_P": "P", "screw_f_ub": "f_ub", "screw_f_yb": "f_yb",
    "screw_E": "E_s", "screw_hole_sigma": "σ", "screw_alpha_v": "α_v",
    "case_nu": "ν", "closure_nu": "ν", "case_E": "E", "closure_E": "E_c",
}  # fmt: skip
DATA_TITLES = {
    "screw_d": "Thread diameter", "screw_P": "Thread pitch", "screw_f_ub": "Strength of the class",
    "screw_f_yb": "Yield strength of the class", "screw_E": "Screw's modulus of elasticity",
    "screw_hole_sigma": "Scatter of the holes by how they were made, modelled",
    "screw_alpha_v": "Shear factor of the class", "screw_unified": "1 for a unified thread",
    "screw_threads_in_plane": "1 with threads in the shear plane",
}  # fmt: skip


@attrs.frozen
class Line:
    """One step: what it is, formula, the formula with numbers, result."""

    head: str
    formula: str
    numbers: str
    result: str
    maths: tuple[str, ...]  # Typst maths: head = formula, then the formula with numbers


@attrs.frozen
class Use:
    """A symbol in the working: what it stands for, its value, and the node it opens, if any."""

    symbol: str
    title: str
    text: str
    opens: str
    maths: str


@attrs.frozen
class Working:
    """How a number comes about: its lines, symbols, and what it rests on."""

    name: str
    title: str
    lines: tuple[Line, ...]
    uses: tuple[Use, ...]
    evidence: str
    source: str
    confirm: tuple[str, ...] = ()
    reason: str = ""


TABLE = "table"  # what a formula shows for an array


class UnreadableError(Exception):
    """A body that is no straight arithmetic; it is shown as one step."""


# ---- names


def node_of(name: str) -> Check | Quantity:
    """The check (by id) or quantity of a name. Raises KeyError."""
    return CHECKS.get(name) or QUANTITIES[name]


def unit_of(name: str) -> str:
    """SI unit of any value by name."""
    if name in QUANTITIES:
        return QUANTITIES[name].unit
    if name in DATA_UNITS:
        return DATA_UNITS[name]
    stem = name.removesuffix("_tol")
    field = next((f for f in FIELDS.values() if f.name == stem), None)
    return field.kind.si if field and field.kind else ""


@cache
def symbol_of(name: str) -> str:
    """How a value is written in formulas."""
    if name in QUANTITIES:
        return QUANTITIES[name].symbol
    if name.endswith("_tol_share"):
        return "share"
    for part in ("case", "closure"):
        stem = name.removeprefix(f"{part}_")
        if stem in MATERIAL_NUMBERS and stem not in ("E", "nu"):
            return stem if part == "case" else f"{stem},c"
    if name in DATA_SYMBOLS:
        return DATA_SYMBOLS[name]
    field = next((f for f in FIELDS.values() if f.name == name.removesuffix("_tol")), None)
    if field is None:
        return name
    return f"Δ{field.symbol}" if name.endswith("_tol") else field.symbol or name


def title_of(name: str) -> str:
    """What a value is, in words."""
    if name in QUANTITIES:
        return QUANTITIES[name].title
    stem = name.split("_", 1)[1] if "_" in name else name
    if stem in data.PROPERTIES:
        return f"{name.split('_')[0].capitalize()} material: {data.PROPERTIES[stem]}"
    if name in DATA_TITLES:
        return DATA_TITLES[name]
    field = next((f for f in FIELDS.values() if f.name == name.removesuffix("_tol")), None)
    if field is None:
        return name
    return f"{field.label}, tolerance" if name.endswith("_tol") else field.label


def with_unit(name: str, value: Any) -> Any:
    """An input as Pint quantity; words and tables of ratios stay as they are."""
    if isinstance(value, str):
        return value
    return Q(value, unit_of(name) or "dimensionless")


# ---- formulas


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
        code = compile(ast.Expression(node), "<working>", "eval")
        return eval(code, self.globals, self.values)  # only our own source is ever run


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
    size = np.size(getattr(value, "magnitude", value))
    return TABLE if size > 1 else quantity_text(value, system)


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
    return [*lines, _line(scope.symbols.get(target, target), expr, scope, system)]


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
    for param, arg in zip(inspect.signature(fn).parameters, call.args, strict=True):
        arg = _taken(arg, scope)
        values[param] = scope.value(arg)
        if isinstance(arg, ast.Name):
            symbols[param] = scope.symbols.get(arg.id, arg.id)
        elif not isinstance(arg, ast.Constant):
            bound.append(_line(param, arg, scope, system))
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
        line = Line(symbols[head], formula, numbers, text, (maths,))
        return [*bound, line], value


def _line(head: str, expr: ast.expr, scope: Scope, system: str) -> Line:
    forms = [render(expr, scope, PLAIN, n, system) for n in (False, True)]
    maths = [render(expr, scope, TYPST, n, system) for n in (False, True)]
    text = value_text(scope.value(expr), system)
    said = forms[1] in (forms[0], text)
    return Line(
        head, forms[0], "" if said else forms[1], text,
        (f"{TYPST.name(head)} = {maths[0]}", *([] if said else [maths[1]])),
    )  # fmt: skip


# ---- workings


def working(assessment: Assessment, name: str, system: str = "metric") -> Working:
    """How a check (by id) or quantity comes about. Raises KeyError for an unknown name."""
    node = node_of(name)
    values = _quantities(assessment)
    args = {a: values[a] for a in node.args}
    params = inspect.signature(node.fn).parameters
    scope = dict(zip(params, args.values(), strict=True))
    symbols = dict(zip(params, map(symbol_of, args), strict=True))
    head = ["demand", "capacity"] if isinstance(node, Check) else [node.symbol]
    try:
        lines, found = steps(node.fn, scope, symbols, head, system)
    except UnreadableError:
        lines, found = [], [values[name]]
    if isinstance(node, Check):
        lines.append(_factor_line(*found, system=system))
    rows = provenance(assessment.design)
    uses = tuple(
        _use(a, values[a], rows, system) for a in args if value_text(values[a], system) != TABLE
    )
    reason = assessment.reason(node) if isinstance(node, Check) else ""
    confirm = tuple(assessment.confirm(node)) if isinstance(node, Check) else ()
    grade = assessment.evidence(node) if isinstance(node, Check) else node.evidence
    return Working(name, node.title, tuple(lines), uses, grade, node.source, confirm, reason)


def _factor_line(demand: Any, capacity: Any, system: str) -> Line:
    factor = float(Q(capacity / demand).to("dimensionless").m)
    texts = [value_text(capacity, system), value_text(demand, system)]
    maths = ('"factor" = frac("capacity", "demand")',
             f"frac({TYPST.value(texts[0])}, {TYPST.value(texts[1])})")  # fmt: skip
    return Line("factor", "capacity / demand", " / ".join(texts), f"{factor:.3g}", maths)


def _use(name: str, value: Any, rows: Mapping[str, data.Datum], system: str) -> Use:
    title = title_of(name)
    if name in rows and rows[name].source:
        title += f" ({rows[name].source}{', from memory' if rows[name].seen == 'memory' else ''})"
    text = value_text(value, system)
    opens = name if name in QUANTITIES else ""
    return Use(symbol_of(name), title, text, opens, TYPST.name(symbol_of(name)))


def _quantities(assessment: Assessment) -> Values:
    return Values({k: with_unit(k, v) for k, v in assessment.inputs.items()})


def plain(assessment: Assessment, name: str, system: str = "metric") -> str:
    """Whole working of a check as text: every quantity behind it, then the check."""
    seen: dict[str, Working] = {}

    def gather(at: str) -> None:
        found = working(assessment, at, system)
        for use in found.uses:
            if use.opens and use.opens not in seen:
                gather(use.opens)
        seen[at] = found

    gather(name)
    blocks = []
    for found in seen.values():
        lines = [
            " = ".join(dict.fromkeys(t for t in (x.head, x.formula, x.numbers, x.result) if t))
            for x in found.lines
        ]
        blocks.append("\n  ".join([found.title, *lines]))
    last = seen[name]
    blocks.append(f"{last.evidence}: {last.source}")
    if last.confirm:
        blocks.append("From memory, confirm: " + "; ".join(last.confirm))
    return "\n".join(blocks)
