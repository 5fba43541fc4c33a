"""A property that is computed when first asked for, and kept."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any, Generic, TypeVar, overload

T = TypeVar("T")


class lazy(Generic[T]):
    """As `functools.cached_property`, without the lock that Python 3.11 takes there: on the path of an entry it counts."""

    def __init__(self, compute: Callable[[Any], T]) -> None:
        self.compute = compute
        self.name = compute.__name__
        self.__doc__ = compute.__doc__

    @overload
    def __get__(self, instance: None, owner: type) -> lazy[T]: ...

    @overload
    def __get__(self, instance: object, owner: type) -> T: ...

    def __get__(self, instance: object | None, owner: type) -> T | lazy[T]:
        if instance is None:
            return self
        # found in the instance from now on, before this is asked again
        value = instance.__dict__[self.name] = self.compute(instance)
        return value
