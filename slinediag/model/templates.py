"""Equipment of common kinds, made from an id, a name and a count; figures are common practice."""

from __future__ import annotations

from collections.abc import Callable, Collection, Sequence
from dataclasses import dataclass, replace

from slinediag.address import Side
from slinediag.model.equipment import Equipment, Port, PortKeys

MICROPHONE = PortKeys(level=-50.0, impedance=150.0, phantom="takes")
"""A condenser microphone: −50 dBu nominal, 150 ohm (common practice)."""
PREAMPLIFIER = PortKeys(level=-50.0, impedance=2000.0, phantom="gives")
"""A microphone input bridges its source: some ten times 150 to 200 ohm (common practice)."""
SINGLE = PortKeys(label="")
"""A lone port needs no label behind its equipment's."""

Make = Callable[[Equipment, int], Equipment]


@dataclass(frozen=True)
class Template:
    """A kind of equipment: what it is called, what ids and names begin with, and what is counted.

    ``counted`` is empty where nothing is; else counts run from ``least`` to ``most``.
    """

    title: str
    id: str
    name: str
    make: Make
    counted: str = ""
    usual: int = 0
    least: int = 1
    most: int = 64


def ports(names: Sequence[str], side: Side, keys: PortKeys = PortKeys()) -> tuple[Port, ...]:  # noqa: B008
    """Ports of some ids, all with the same keys."""
    return tuple(Port(name, side, keys) for name in names)


def counted(count: int, before: str = "") -> list[str]:
    """The ids 1 to a count."""
    return [f"{before}{number}" for number in range(1, count + 1)]


def stereo_player(box: Equipment, _count: int) -> Equipment:
    """Two outputs."""
    return replace(box, outputs=ports("LR", "out"))


def stereo_recorder(box: Equipment, _count: int) -> Equipment:
    """Two inputs that it monitors, two outputs that also play."""
    outputs = ports("LR", "out", PortKeys(origin=True))
    return replace(box, outputs=outputs, inputs=ports("LR", "in"), paths="straight")


def microphone(box: Equipment, _count: int) -> Equipment:
    """One output at microphone level."""
    keys = replace(MICROPHONE, label="")
    return replace(box, outputs=ports("O", "out", keys))


def preamplifier(box: Equipment, count: int) -> Equipment:
    """As many inputs at microphone level as outputs."""
    inputs = ports(counted(count), "in", PREAMPLIFIER)
    return replace(box, outputs=ports(counted(count), "out"), inputs=inputs, paths="straight")


def desk(box: Equipment, count: int) -> Equipment:
    """Channels with inserts: each to its send, each return to the programme bus."""
    sends = tuple(Port(f"SND{n}", "out", PortKeys(label=f"SND {n}")) for n in counted(count))
    buses = (
        Port("PL", "out", PortKeys(label="PGM L")),
        Port("PR", "out", PortKeys(label="PGM R")),
    )
    returns = tuple(Port(f"RTN{n}", "in", PortKeys(label=f"RTN {n}")) for n in counted(count))
    back = tuple(port.id for port in returns)
    paths = (*((send.id, (n,)) for send, n in zip(sends, counted(count), strict=True)),)
    return replace(
        box,
        outputs=(*sends, *buses),
        inputs=(*ports(counted(count), "in"), *returns),
        paths=(*paths, ("PL", back), ("PR", back)),
        pairs=(("PL", "PR"),),
    )


def distribution_amplifier(box: Equipment, count: int) -> Equipment:
    """One input to as many outputs."""
    keys = PortKeys(label="IN")
    outputs = ports(counted(count), "out")
    return replace(box, outputs=outputs, inputs=ports(["I"], "in", keys), paths="all")


def processor(box: Equipment, _count: int) -> Equipment:
    """Left and right straight through."""
    return replace(box, outputs=ports("LR", "out"), inputs=ports("LR", "in"), paths="straight")


def stereo_monitor(box: Equipment, _count: int) -> Equipment:
    """Two inputs."""
    return replace(box, inputs=ports("LR", "in"))


def link(box: Equipment, _count: int) -> Equipment:
    """Two inputs that must never be silent."""
    return replace(box, inputs=ports("LR", "in"), priority=1)


TEMPLATES = (
    Template("Stereo player", "PLY", "Stereo player", stereo_player),
    Template("Stereo recorder", "REC", "Stereo recorder", stereo_recorder),
    Template("Desk with inserts", "DESK", "Desk", desk, "Channels", 8),
    Template(
        "Distribution amplifier",
        "DA",
        "Distribution amplifier",
        distribution_amplifier,
        "Outputs",
        6,
        2,
    ),
    Template("Limiter", "LIM", "Limiter", processor),
    Template("Microphone", "MIC", "Microphone", microphone),
    Template(
        "Microphone preamplifier", "MPA", "Microphone preamplifier", preamplifier, "Channels", 4
    ),
    Template("Stereo monitor", "MON", "Stereo monitor", stereo_monitor),
    Template("Transmitter link", "LINK", "Transmitter link", link),
)


def box_of(template: Template, name_id: str, name: str, place: str | None, count: int) -> Equipment:
    """A new box of a template."""
    return template.make(Equipment(name_id, name, place=place), count)


def free_id(begins: str, taken: Collection[str]) -> str:
    """The first id of a beginning and a number that is above all taken ones."""
    numbers = [name[len(begins) :] for name in taken if name.startswith(begins)]
    used = [int(number) for number in numbers if number.isascii() and number.isdigit()]
    first = 1 if begins in taken else 0
    return f"{begins}{max(used, default=first) + 1}"
