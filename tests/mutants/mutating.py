"""Small wrong changes to a module: where they can be made, and what each makes of its text.

Only inside functions: what stands at the top of a module runs once, for every test, and no
recording tells which tests reach it. Texts, annotations and docstrings are left alone.
"""

import ast
from collections.abc import Iterator
from copy import copy
from pathlib import Path
from typing import NamedTuple

BOUNDARIES: dict[type[ast.cmpop], type[ast.cmpop]] = {
    ast.Lt: ast.LtE,
    ast.LtE: ast.Lt,
    ast.Gt: ast.GtE,
    ast.GtE: ast.Gt,
}
NEGATIONS: dict[type[ast.cmpop], type[ast.cmpop]] = {
    ast.Lt: ast.GtE,
    ast.LtE: ast.Gt,
    ast.Gt: ast.LtE,
    ast.GtE: ast.Lt,
    ast.Eq: ast.NotEq,
    ast.NotEq: ast.Eq,
    ast.In: ast.NotIn,
    ast.NotIn: ast.In,
    ast.Is: ast.IsNot,
    ast.IsNot: ast.Is,
}
ARITHMETIC: dict[type[ast.operator], type[ast.operator]] = {
    ast.Add: ast.Sub,
    ast.Sub: ast.Add,
    ast.Mult: ast.FloorDiv,
    ast.Div: ast.Mult,
    ast.FloorDiv: ast.Mult,
    ast.Mod: ast.Mult,
}
JUNCTIONS: dict[type[ast.boolop], type[ast.boolop]] = {ast.And: ast.Or, ast.Or: ast.And}


class Mutant(NamedTuple):
    """One change: from byte ``start`` to ``end`` of a module ``text`` stands instead."""

    path: Path
    line: int
    kind: str
    start: int
    end: int
    text: str

    def applied(self, source: bytes) -> bytes:
        """The module with the change in it."""
        return source[: self.start] + self.text.encode() + source[self.end :]

    def seen(self, source: bytes) -> str:
        """The line as the change leaves it."""
        begin = source.rfind(b"\n", 0, self.start) + 1
        after = source[self.end :].partition(b"\n")[0]
        return (source[begin : self.start] + self.text.encode() + after).decode().strip()


def mutants(path: Path, source: bytes) -> list[Mutant]:
    """Every change that can be made in a module, in the order of its text."""
    starts = [0]
    for row in source.splitlines(keepends=True):
        starts.append(starts[-1] + len(row))
    found = set()
    for node in _inside_functions(ast.parse(source)):
        for kind, changed in _changes(node):
            assert isinstance(node, ast.expr | ast.stmt)
            assert node.end_lineno is not None
            assert node.end_col_offset is not None
            start = starts[node.lineno - 1] + node.col_offset
            end = starts[node.end_lineno - 1] + node.end_col_offset
            text = ast.unparse(changed)
            if isinstance(changed, ast.expr) and not isinstance(changed, ast.Constant):
                text = f"({text})"
            found.add(Mutant(path, node.lineno, kind, start, end, text))
    return sorted(found)


def _inside_functions(tree: ast.AST) -> Iterator[ast.AST]:
    for node in ast.walk(tree):
        if isinstance(node, ast.FunctionDef):
            for statement in node.body:
                yield from _spoken(statement)


def _spoken(node: ast.AST) -> Iterator[ast.AST]:
    """A node and all in it but annotations, f-strings and functions of its own."""
    if isinstance(node, ast.FunctionDef | ast.JoinedStr):
        return
    yield node
    for name, value in ast.iter_fields(node):
        if name == "annotation":
            continue
        for child in value if isinstance(value, list) else [value]:
            if isinstance(child, ast.AST):
                yield from _spoken(child)


def _changes(node: ast.AST) -> Iterator[tuple[str, ast.AST]]:
    if isinstance(node, ast.stmt):
        yield from _changes_of_statement(node)
    else:
        yield from _changes_of_value(node)


def _changes_of_value(node: ast.AST) -> Iterator[tuple[str, ast.AST]]:
    match node:
        case ast.Compare(ops=[only]):
            for kind, table in (("boundary", BOUNDARIES), ("negation", NEGATIONS)):
                if type(only) in table:
                    yield kind, _with(node, ops=[table[type(only)]()])
        case ast.BinOp() if type(node.op) in ARITHMETIC and not _text(node):
            yield "arithmetic", _with(node, op=ARITHMETIC[type(node.op)]())
        case ast.Constant(value=int(value)) if not isinstance(value, bool):
            yield "constant", ast.Constant(value + 1)
            yield "constant", ast.Constant(value - 1)
        case ast.BoolOp():
            yield "and, or", _with(node, op=JUNCTIONS[type(node.op)]())
        case ast.UnaryOp(op=ast.Not()):
            yield "not", node.operand


def _changes_of_statement(node: ast.stmt) -> Iterator[tuple[str, ast.AST]]:
    match node:
        case ast.Return(value=ast.expr()) if not _is_none(node.value):
            yield "return", ast.Return(ast.Constant(None))
        case ast.Expr(value=value) if isinstance(value, ast.Constant):
            return
        case ast.Expr() | ast.Assign() | ast.AugAssign():
            yield "removed", ast.Pass()
            yield "early return", ast.Return(None)
        case ast.Continue() | ast.Break():
            yield "removed", ast.Pass()


def _with(node: ast.AST, **fields: object) -> ast.AST:
    changed = copy(node)
    for name, value in fields.items():
        setattr(changed, name, value)
    return changed


def _text(node: ast.BinOp) -> bool:
    """Whether texts are joined or filled in: any other sign is an error at once."""
    sides = (node.left, node.right)
    return any(
        isinstance(side, ast.JoinedStr)
        or (isinstance(side, ast.Constant) and isinstance(side.value, str | bytes))
        for side in sides
    )


def _is_none(node: ast.expr | None) -> bool:
    return isinstance(node, ast.Constant) and node.value is None
