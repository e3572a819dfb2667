"""From text to nodes: YAML events, composed within bounds; no object is ever constructed.

The bounds stand against files made to exhaust a machine: depth, number of values, and how far
aliases expand. libyaml does the parsing where PyYAML has it, else PyYAML's own parser; both give
the same nodes.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Iterator
from dataclasses import dataclass, replace
from typing import Any, NoReturn

import yaml

from slinediag.file.nodes import Entry, Mapping, Node, Places, Scalar, Sequence
from slinediag.file.syntax import explain
from slinediag.problems import Problem

DEEPEST = 24
"""Levels of nesting that a file may have; a facility needs eight."""
MOST_VALUES = 1_000_000
"""Values, keys included, that a file may hold, with aliases expanded."""
MOST_ALIASES = 10_000

CORE = "tag:yaml.org,2002:"
SCALAR_TAGS = {CORE + name for name in ("str", "int", "float", "bool", "null", "timestamp")}
ONE_DOCUMENT = "Keep one facility in a file: delete the line --- and what follows it"
REST = re.compile(r"(?:[ \t\r\n]|\.\.\.(?=\s|\Z)|#[^\r\n]*)*")
PROLOGUE_TAG = re.compile(
    r"(?:[ \t]*(?:#[^\r\n]*)?(?:\r\n|\r|\n)|%YAML[^\r\n]*(?:\r\n|\r|\n))*+(?=%)"
)

Loader: Callable[[str], Any] = getattr(yaml, "CSafeLoader", yaml.SafeLoader)


class Refused(Exception):
    """A text that cannot be composed; ``problem`` says why."""

    def __init__(self, problem: Problem) -> None:
        self.problem = problem
        super().__init__(problem.what)


@dataclass(slots=True)
class Open:
    """A sequence or mapping that is being composed."""

    event: Any
    children: list[Node]
    weight: int = 1


def compose(text: str, places: Places) -> Node | None:
    """The root node of a text, None for a text that holds nothing; Refused where it is not YAML.

    ``text`` has no byte order mark and only characters that YAML allows.
    """
    directive = PROLOGUE_TAG.match(text)
    if directive:
        what = "a directive (%) has no place in a facility file"
        refuse(places, directive.end(), what, "Delete it")
    try:
        loader = Loader(text)
        try:
            return Composer(text, places).root(events(loader))
        finally:
            loader.dispose()
    except yaml.MarkedYAMLError as error:
        raise Refused(explain(error, text, places, Loader)) from None
    except yaml.YAMLError as error:
        index = min(int(getattr(error, "position", 0) or 0), len(text))
        refuse(places, index, "this is not YAML text", "Look at the characters before this place")


def events(loader: Any) -> Iterator[Any]:
    """The loader's events, one at a time, no further than asked for."""
    while True:
        yield loader.get_event()


def refuse(places: Places, index: int, what: str, hint: str, where: str = "") -> NoReturn:
    """Raise the problem at a place."""
    raise Refused(Problem(places.line(index), places.column(index), where, what, hint))


class Composer:
    """Builds nodes from events, with a stack instead of recursion."""

    def __init__(self, text: str, places: Places) -> None:
        self._text = text
        self._places = places
        self._anchors: dict[str, tuple[Node | None, int]] = {}
        self._aliases = 0
        self._values = 0

    def root(self, stream: Iterator[Any]) -> Node | None:
        """The root node of the one document of a stream."""
        open_nodes: list[Open] = []
        root: Node | None = None
        for event in stream:
            if isinstance(event, yaml.ScalarEvent):
                node: Node = self._scalar(event)
                weight = 1
            elif isinstance(event, (yaml.MappingStartEvent, yaml.SequenceStartEvent)):
                self._check_start(event, len(open_nodes))
                open_nodes.append(Open(event, []))
                continue
            elif isinstance(event, (yaml.MappingEndEvent, yaml.SequenceEndEvent)):
                node, weight = self._collection(open_nodes.pop(), event)
            elif isinstance(event, yaml.AliasEvent):
                node, weight = self._alias(event)
            elif isinstance(event, yaml.DocumentEndEvent):
                self._check_rest(end_of(event), event.explicit)
                return root
            elif isinstance(event, yaml.StreamEndEvent):
                return None
            else:
                continue
            self._count(node, weight)
            if open_nodes:
                open_nodes[-1].children.append(node)
                open_nodes[-1].weight += weight
            else:
                root = node
        return root

    def _scalar(self, event: Any) -> Scalar:
        if event.tag is not None:
            self._check_tag(event, SCALAR_TAGS)
        start, end = event.start_mark.index, event.end_mark.index
        style, anchor = event.style or "", event.anchor or ""
        if style in ("|", ">"):
            end = block_end(self._text, start, end)
        plain = event.tag is None and not style
        scalar = Scalar(start, end, event.value, plain, style, anchor)
        if anchor:
            self._anchors[anchor] = (scalar, 1)
        return scalar

    def _collection(self, done: Open, event: Any) -> tuple[Node, int]:
        """The sequence or mapping that an event closes, with the number of values in it."""
        node = collection(done, end_of(event))
        if node.anchor:
            self._anchors[node.anchor] = (node, done.weight)
        return node, done.weight

    def _alias(self, event: Any) -> tuple[Node, int]:
        name, index = event.anchor, start_of(event)
        self._aliases += 1
        if self._aliases > MOST_ALIASES:
            refuse(self._places, index, "too many aliases (*)", "Write the values out", f"*{name}")
        found = self._anchors.get(name)
        if found is None:
            hint = f"Put &{name} before the value it stands for, above this line"
            refuse(self._places, index, f"no anchor &{name} stands above", hint, f"*{name}")
        node, weight = found
        if node is None:
            hint = "Write the value out"
            refuse(self._places, index, "an alias inside of its own anchor", hint, f"*{name}")
        end = end_of(event)
        return replace(node, start=index, end=end, anchor=name, alias=True), weight

    def _count(self, node: Node, weight: int) -> None:
        """Count values: those of a collection were counted before, those of an alias were not."""
        self._values += weight if node.alias else 1
        if self._values > MOST_VALUES:
            what = f"the file holds more than {MOST_VALUES:,} values, aliases expanded"
            refuse(self._places, node.start, what, "Check that it is a facility file")

    def _check_start(self, event: Any, depth: int) -> None:
        if depth >= DEEPEST:
            what = f"nested deeper than {DEEPEST} levels"
            hint = "A facility file needs no more than eight; look for brackets never closed"
            refuse(self._places, start_of(event), what, hint)
        own = "map" if isinstance(event, yaml.MappingStartEvent) else "seq"
        self._check_tag(event, {CORE + own})
        if event.anchor:
            self._anchors[event.anchor] = (None, 0)

    def _check_tag(self, event: Any, allowed: set[str]) -> None:
        tag = event.tag
        if tag is not None and tag != "!" and tag not in allowed:
            shown = tag.replace(CORE, "!!", 1)
            hint = "Delete the tag; a facility file holds only text, lists and mappings"
            refuse(self._places, start_of(event), "a tag has no place here", hint, shown)

    def _check_rest(self, end: int, closed: bool | None) -> None:
        """Refuse anything but comments behind the end of the first document."""
        rest = REST.match(self._text, end)
        index = rest.end() if rest else end
        more = index < len(self._text)
        if more and (self._text.startswith("---", index) or closed):
            refuse(self._places, index, "a second YAML document begins here", ONE_DOCUMENT)
        if more:
            what = "something stands behind the end of the one value of this file"
            refuse(self._places, index, what, "Check the indentation and quotes above it")


def start_of(event: Any) -> int:
    """The index at which an event's text begins."""
    return int(event.start_mark.index)


def end_of(event: Any) -> int:
    """The index behind an event's text."""
    return int(event.end_mark.index)


def block_end(text: str, start: int, end: int) -> int:
    """The end of a text block's last line; with ``+`` the empty lines behind it belong to it."""
    block = text[start:end]
    keeps = "+" in block.splitlines()[0].partition("#")[0]
    return end if keeps else start + len(block.rstrip())


def collection(done: Open, close: int) -> Node:
    """The sequence or mapping that closes at ``close``; without brackets it ends with its last
    value."""
    event, children = done.event, done.children
    start, flow, anchor = start_of(event), bool(event.flow_style), event.anchor or ""
    end = close if flow or not children else children[-1].end
    if isinstance(event, yaml.SequenceStartEvent):
        return Sequence(start, end, tuple(children), flow, anchor)
    pairs = zip(children[::2], children[1::2], strict=True)
    entries = tuple(Entry(key, value) for key, value in pairs)
    return Mapping(start, end, entries, flow, anchor)
