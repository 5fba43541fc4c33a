"""Things named as 'module:name' within this package, and loaded when they are first asked for.

What a session never asks for costs its start nothing. The tables of commands and of parts are the only ones that name
things so.
"""

from __future__ import annotations

from functools import cache
from importlib import import_module
from typing import Any


@cache
def loaded(name: str) -> Any:
    """The thing that a name means.

    >>> loaded("entry.notes:NOTES").name
    'notes'
    """
    module, _, what = name.partition(":")
    return getattr(import_module(f"model.{module}"), what)
