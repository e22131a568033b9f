"""Plain arithmetic, read from lines of text: numbers, names, + - * / **, and a few functions."""

from __future__ import annotations

import ast
import math
import operator
from collections.abc import Callable, Mapping
from typing import Any

OPERATIONS: dict[type, Callable[..., Any]] = {
    ast.Add: operator.add,
    ast.Sub: operator.sub,
    ast.Mult: operator.mul,
    ast.Div: operator.truediv,
    ast.Pow: operator.pow,
    ast.USub: operator.neg,
}
FUNCTIONS: dict[str, Callable[..., float]] = {
    "ceil": math.ceil,
    "floor": math.floor,
    "min": min,
    "max": max,
    "round": round,
    "sin": math.sin,
    "cos": math.cos,
    "exp": math.exp,
    "log": math.log,
}


class NotArithmetic(ValueError):
    """A line that is more than arithmetic, or names what was not worked out before."""


def value_of(node: ast.expr, known: Mapping[str, float]) -> float:
    """The value of an expression made of what is known."""
    match node:
        case ast.Constant(value=int() | float() as number):
            return number
        case ast.Name(id=name) if name in known:
            return known[name]
        case ast.BinOp(left=left, op=op, right=right) if type(op) in OPERATIONS:
            return OPERATIONS[type(op)](value_of(left, known), value_of(right, known))
        case ast.UnaryOp(op=ast.USub(), operand=operand):
            return -value_of(operand, known)
        case ast.Call(func=ast.Name(id=name), args=arguments, keywords=[]) if name in FUNCTIONS:
            return FUNCTIONS[name](*(value_of(argument, known) for argument in arguments))
    raise NotArithmetic(ast.unparse(node))


def work_out(text: str) -> dict[str, float]:
    """The value of every name, line by line; a line is `name = expression`, `#` begins a remark."""
    known: dict[str, float] = {"pi": math.pi}
    for line in text.splitlines():
        plain = line.partition("#")[0].strip()
        if not plain:
            continue
        name, _, expression = plain.partition(" = ")
        if not name.isidentifier() or name in known:
            raise NotArithmetic(line)
        known[name] = value_of(ast.parse(expression.strip(), mode="eval").body, known)
    return known
