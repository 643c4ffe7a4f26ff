"""Something learned that reading uses everywhere: the shipped one, unless another is put in its place for a while."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from contextlib import contextmanager
from typing import Generic, TypeVar

T = TypeVar("T")


class InUse(Generic[T]):
    """`usual()` gives the shipped one."""

    def __init__(self, usual: Callable[[], T]) -> None:
        self._usual = usual
        self._others: list[T] = []

    def __call__(self) -> T:
        """The one in use."""
        return self._others[-1] if self._others else self._usual()

    @contextmanager
    def instead(self, other: T) -> Iterator[None]:
        """Within it, `other` is in use: for training and figures, not in several threads."""
        self._others.append(other)
        try:
            yield
        finally:
            self._others.pop()
