"""Templates and addresses that a process compiles once for all the applications it makes.

Each test makes an application of its own, and most of what that takes is the compiling of what is the same each time.
"""

from collections.abc import Callable, Iterator
from contextlib import contextmanager
from types import CodeType

import pytest
from flask import Flask
from jinja2.bccache import Bucket, BytecodeCache
from werkzeug.routing import Rule


class KeptTemplates(BytecodeCache):
    """Compiled templates by name and content."""

    def __init__(self) -> None:
        self.codes: dict[tuple[str, str], CodeType] = {}

    def load_bytecode(self, bucket: Bucket) -> None:
        if code := self.codes.get((bucket.key, bucket.checksum)):
            bucket.code = code

    def dump_bytecode(self, bucket: Bucket) -> None:
        if bucket.code:
            self.codes[bucket.key, bucket.checksum] = bucket.code


@contextmanager
def compiled_once() -> Iterator[None]:
    """While this lasts, what one application has compiled the next one takes over."""
    compile_builder, kept = Rule._compile_builder, dict[tuple[object, ...], Callable[..., tuple[str, str]]]()

    def builder(rule: Rule, append_unknown: bool = True) -> Callable[..., tuple[str, str]]:
        if rule.defaults:
            return compile_builder(rule, append_unknown)
        key = (append_unknown, *rule._trace)
        if key not in kept:
            kept[key] = compile_builder(rule, append_unknown)
        return kept[key]

    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(Flask, "jinja_options", {**Flask.jinja_options, "bytecode_cache": KeptTemplates()})
        patch.setattr(Rule, "_compile_builder", builder)
        yield
