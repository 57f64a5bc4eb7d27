"""What does the YAML text hold, and on which line? Plain values with marks, nothing clever.

Only the plain core of YAML 1.2 is read: mappings with text keys, lists, texts, numbers, true,
false and null. Tags, anchors, aliases, several documents and repeated keys are refused with
their line, because none of them belongs in a file of readings or parts and each can hide something.
"""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import dataclass, field
from typing import Any

import yaml

Path = tuple[str | int, ...]

MOST_BYTES = 1_048_576
MOST_DEPTH = 16
MOST_VALUES = 50_000

_Loader = getattr(yaml, "CSafeLoader", yaml.SafeLoader)
_INT = re.compile(r"[-+]?[0-9]{1,18}")
_FLOAT = re.compile(r"[-+]?(\.[0-9]+|[0-9]+(\.[0-9]*)?)([eE][-+]?[0-9]+)?")
_SPECIAL = re.compile(r"[-+]?\.(inf|nan)", re.IGNORECASE)
_WORDS = {"": None, "~": None, "null": None, "true": True, "false": False}


@dataclass(frozen=True, slots=True)
class Fault:
    """The text breaks a rule of the format at this line. `given` is what stands there."""

    line: int
    path: Path
    given: str
    what: str
    mend: str


@dataclass(slots=True)
class Tree:
    """Plain values of one file, the line of every value, and the faults met on the way.

    `complete` is False when reading stopped early, so that what is missing means nothing.
    """

    root: Any = None
    lines: dict[Path, int] = field(default_factory=dict)
    faults: list[Fault] = field(default_factory=list)
    complete: bool = True

    def line(self, path: Path) -> int:
        """The line of a value, or of the nearest thing around it."""
        while path not in self.lines and path:
            path = path[:-1]
        return self.lines.get(path, 1)

    def at(self, *path: str | int) -> Any:
        """The plain value at a path, None where there is none."""
        value = self.root
        for step in path:
            if not _holds(value, step):
                return None
            value = value[step]
        return value

    def has(self, path: Path) -> bool:
        """Is there anything at this path, even null?"""
        return not path or _holds(self.at(*path[:-1]), path[-1])

    def items(self, *path: str | int) -> Iterator[tuple[Path, dict[str, Any]]]:
        """Path and value of each mapping in the list at a path."""
        values = self.at(*path)
        if isinstance(values, list):
            for index, value in enumerate(values):
                if isinstance(value, dict):
                    yield (*path, index), value


def _holds(value: Any, step: str | int) -> bool:
    if isinstance(value, dict):
        return step in value
    return isinstance(value, list) and isinstance(step, int) and 0 <= step < len(value)


def spoken(path: Path) -> str:
    """A path as people read it: measure.readings[3].value."""
    text = ""
    for step in path:
        text += f"[{step}]" if isinstance(step, int) else f".{step}" if text else step
    return text or "(whole file)"


def read_tree(given: str | bytes) -> Tree:
    """Read YAML text. Never raises for bad text: what is wrong is in `faults`."""
    tree = Tree()
    text = _decoded(given, tree)
    if text is None:
        return tree
    builder = _Builder(tree)
    try:
        for event in yaml.parse(text, Loader=_Loader):
            if not builder.take(event):
                tree.complete = False
                break
    except yaml.MarkedYAMLError as error:
        tree.complete = False
        tree.faults.append(_not_yaml(error, text, builder.path))
    except yaml.reader.ReaderError as error:
        tree.complete = False
        tree.faults.append(_bad_character(error, text))
    if not isinstance(tree.root, dict) and (tree.root is not None or not tree.faults):
        tree.faults.append(_no_sections(tree))
    return tree


def _not_yaml(error: yaml.MarkedYAMLError, text: str, path: Path) -> Fault:
    mark = error.problem_mark or error.context_mark
    line = mark.line + 1 if mark else 1
    if (tab := _tab(text, line)) is not None:
        return tab
    context = f"{error.context}, " if error.context else ""
    return Fault(
        line,
        path,
        _source_line(text, line),
        f"not YAML: {context}{error.problem}",
        "look at this line and the one above: indent with spaces, put a space after "
        "each colon, close quotes and brackets",
    )


def _bad_character(error: yaml.reader.ReaderError, text: str) -> Fault:
    given = error.character
    return Fault(
        text.count("\n", 0, error.position) + 1,
        (),
        repr(chr(given)) if isinstance(given, int) else repr(given),
        "a character that a text file can't hold",
        "delete it",
    )


def _no_sections(tree: Tree) -> Fault:
    if tree.root is None:
        return Fault(
            1,
            (),
            "",
            "the file is empty",
            "write its sections; `truehang new` writes a job file to start from",
        )
    return Fault(
        tree.line(()),
        (),
        shown(tree.root),
        "the file is not a mapping of sections",
        "write `key: value` lines; a job file begins with `truehang: 1`",
    )


def shown(value: Any) -> str:
    """A value as it is shown in a message: short, on one line."""
    if value is None:
        return "nothing"
    if isinstance(value, bool):
        return str(value).lower()
    if isinstance(value, dict):
        return f"a mapping of {len(value)}"
    if isinstance(value, list):
        return f"a list of {len(value)}"
    text = str(value).replace("\n", " ")
    return text if len(text) <= 60 else text[:57] + "..."


def _tab(text: str, line: int) -> Fault | None:
    """The tab that YAML stumbled over at this line, if there is one where spaces belong."""
    lines = text.splitlines()
    for number in range(min(line, len(lines)), max(line - 2, 0), -1):
        before = lines[number - 1].partition("#")[0]
        if "\t" in before:
            return Fault(
                number,
                (),
                shown(before.strip().replace("\t", " ")),
                "a tab stands here, where YAML wants spaces",
                "put spaces in its place, as many as the lines beside it have",
            )
    return None


def _decoded(given: str | bytes, tree: Tree) -> str | None:
    size = len(given) if isinstance(given, bytes) else len(given.encode("utf-8", "replace"))
    if size > MOST_BYTES:
        tree.faults.append(too_large(size))
        return None
    if isinstance(given, str):
        return given.removeprefix("\ufeff")
    try:
        return given.decode("utf-8-sig")
    except UnicodeDecodeError as error:
        line = given.count(b"\n", 0, error.start) + 1
        tree.faults.append(
            Fault(
                line,
                (),
                repr(given[error.start : error.start + 4])[1:],
                "the file is not UTF-8 text",
                "save it again as UTF-8",
            )
        )
        return None


def too_large(size: int) -> Fault:
    """The fault of a file of `size` bytes, which is over the limit and is not read at all."""
    return Fault(
        1,
        (),
        f"{size:,} bytes",
        f"the file is larger than one may be ({MOST_BYTES:,} bytes); it was not read",
        "keep one opening in a file and leave photos and scans out of it",
    )


def _source_line(text: str, line: int) -> str:
    lines = text.splitlines()
    return shown(lines[line - 1].strip()) if 0 < line <= len(lines) else ""


def scalar(text: str) -> Any:
    """What an unquoted text stands for: null, true, false, a number, or the text itself."""
    if text.lower() in _WORDS and text in (text.lower(), text.capitalize(), text.upper()):
        return _WORDS[text.lower()]
    if _INT.fullmatch(text):
        return int(text)
    if _FLOAT.fullmatch(text):
        return float(text)
    if _SPECIAL.fullmatch(text):
        return float(text.replace(".", "", 1))
    return text


class _Builder:
    """Builds the tree from YAML events, one at a time, without recursion."""

    def __init__(self, tree: Tree) -> None:
        self.tree = tree
        self.path: Path = ()
        self._open: list[tuple[Any, Path]] = []
        self._keys: list[str | None] = []
        self._documents = 0

    def take(self, event: yaml.Event) -> bool:
        """Take one event. False when there is no sense in reading on."""
        mark = event.start_mark
        line = mark.line + 1 if mark else 1
        if isinstance(event, yaml.DocumentStartEvent):
            self._documents += 1
            if self._documents > 1:
                return self._stop(
                    line,
                    "---",
                    "a second document in one file",
                    "keep one job in a file; delete the `---` and what follows",
                )
        elif isinstance(event, yaml.AliasEvent):
            return self._stop(
                line,
                f"*{event.anchor}",
                "an alias is not read here",
                "write the value out in full",
            )
        elif isinstance(event, yaml.ScalarEvent | yaml.CollectionStartEvent):
            return self._node(event, line)
        elif isinstance(event, yaml.CollectionEndEvent):
            self._open.pop()
            self._keys.pop()
            self.path = self._open[-1][1] if self._open else ()
        return True

    def _node(self, event: yaml.ScalarEvent | yaml.CollectionStartEvent, line: int) -> bool:
        if event.anchor:
            return self._stop(
                line,
                f"&{event.anchor}",
                "an anchor is not read here",
                "delete the anchor and write each value out",
            )
        if event.tag is not None:
            tag = event.tag.replace("tag:yaml.org,2002:", "!!")
            return self._stop(
                line,
                tag,
                "a YAML tag is not read here",
                "delete the tag; put a text in quotes if it must stay a text",
            )
        if len(self.tree.lines) >= MOST_VALUES:
            return self._stop(
                line, "", f"more than {MOST_VALUES:,} values", "keep one opening in a file"
            )
        if isinstance(event, yaml.ScalarEvent):
            if self._open and isinstance(self._open[-1][0], dict) and self._keys[-1] is None:
                return self._key(event.value, line)
            self._put(scalar(event.value) if event.implicit[0] else event.value, line)
            return True
        if len(self._open) >= MOST_DEPTH:
            return self._stop(
                line,
                "",
                f"nested more than {MOST_DEPTH} deep",
                "no file here is that deep; look for a stray bracket or indent",
            )
        if self._open and isinstance(self._open[-1][0], dict) and self._keys[-1] is None:
            return self._stop(
                line,
                "",
                "a list or mapping stands where a key should",
                "write a plain word before the colon",
            )
        value: Any = {} if isinstance(event, yaml.MappingStartEvent) else []
        path = self._put(value, line)
        self._open.append((value, path))
        self._keys.append(None)
        return True

    def _key(self, key: str, line: int) -> bool:
        holder, path = self._open[-1]
        self.path = (*path, key)
        if key in holder:
            first = self.tree.line(self.path)
            self.tree.faults.append(
                Fault(
                    line,
                    self.path,
                    key,
                    f"`{key}` is given twice (first on line {first})",
                    "keep one of the two",
                )
            )
        self._keys[-1] = key
        return True

    def _put(self, value: Any, line: int) -> Path:
        if not self._open:
            self.tree.root = value
            self.tree.lines[()] = line
            return ()
        holder, path = self._open[-1]
        if isinstance(holder, list):
            here: Path = (*path, len(holder))
            holder.append(value)
        else:
            key = self._keys[-1]
            assert key is not None
            self._keys[-1] = None
            here = (*path, key)
            holder[key] = value
        self.tree.lines[here] = line
        self.path = here
        return here

    def _stop(self, line: int, given: str, what: str, mend: str) -> bool:
        self.tree.faults.append(Fault(line, self.path, given, what, mend))
        return False
