"""What did each room say that is asked once a plan stands?"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping
from typing import Any


class Answers(Mapping[str, Any]):
    """The answers of the rooms that were asked, by name."""

    def __init__(self, by_name: Mapping[str, Any] | None = None) -> None:
        self._by_name = dict(by_name or {})

    def __getitem__(self, name: str) -> Any:
        return self._by_name[name]

    def __iter__(self) -> Iterator[str]:
        return iter(self._by_name)

    def __len__(self) -> int:
        return len(self._by_name)

    def each_said(self, say: Callable[[Any], Any]) -> Answers:
        """The same with each answer as it is said."""
        made = {name: say(answer) for name, answer in self._by_name.items()}
        same = all(made[name] is self._by_name[name] for name in made)
        return self if same else Answers(made)
