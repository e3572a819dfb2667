"""Two cords in a row: one carries audio to a net or a box, the other from there onward."""

from __future__ import annotations

from collections.abc import Iterable, Iterator

from slinediag.tracing.outage.board import Move, Moves, put
from slinediag.tracing.outage.first_cords import FirstCords
from slinediag.tracing.outage.hops import Hops
from slinediag.tracing.outage.task import Task
from slinediag.tracing.outage.view import View, add


def chained(task: Task, view: View) -> Iterator[Moves]:
    """Pairs of cords in a row on top of a view, best outlook first."""
    wanted = task.situation.wanted[task.number]
    sources = [k for k in view.kinds_that_carry(wanted) if _serves(task, view, k)]
    sources = _worth_starting(task, view, sources)
    if not sources:
        return
    known = {k for k in view.kinds_that_carry(wanted) if _carries(view, k, wanted)}
    for outlook, first in FirstCords(task, view, sources):
        if task.best.beaten(outlook) or not task.spend():
            return
        opened = view.with_move(first)
        onward = [k for k in opened.kinds_newly_carrying(wanted, first) if k not in known]
        for last in task.carrying(opened, onward, last=True) if onward else ():
            if last.alone.grade.misfit or task.best.beaten(last.alone):
                break
            yield add(opened.moves, last.move)


def openings(task: Task, view: View, most: int) -> list[Move]:
    """First cords for chains of three and more, those first that lead out of the source's reach."""
    wanted = task.situation.wanted[task.number]
    sources = [k for k in view.kinds_that_carry(wanted) if _serves(task, view, k)]
    hops = Hops(task, view, far=True)
    ranked = []
    for source in sources:
        for hop in hops.kinds:
            length = task.choice.shortest(source, hop)
            if length is not None:
                near = not hops.leads_away(source, hop)
                ranked.append((near, hops.outlook(source, hop, length), put(source, hop)))
    return list(dict.fromkeys(move for *_, move in sorted(ranked)))[:most]


def _serves(task: Task, view: View, kind: int) -> bool:
    """Whether what a kind carries is wanted, and nothing with it that is not."""
    situation, number = task.situation, task.number
    meets = view.meets(kind)
    allowed = situation.wanted[number] | situation.standby
    return any(
        audio & situation.wanted[number] and (situation.has_loops or not audio & ~allowed)
        for audio in meets.audio
    )


def _carries(view: View, kind: int, wanted: int) -> bool:
    """Whether a kind still carries any of these origins with a plug in."""
    return any(audio & wanted for audio in view.meets(kind).audio)


def _worth_starting(task: Task, view: View, kinds: Iterable[int]) -> list[int]:
    """Those of some kinds from which a chain can be good enough, whatever output leads on.

    What can come of a kind hangs on what it carries alone, so that is looked at once for all.
    """
    heard, moves = task.situation.heard[task.number], len(view.moves) + 2
    length = 2 * task.choice.shortest_of_all

    def may_be_listed(missing: int) -> bool:
        return not task.best.beaten(task.outlook(missing, moves, length))

    if task.situation.has_loops or view.upstream(task.number) != 1 << task.number:
        return list(kinds) if may_be_listed(0) else []
    worth: dict[int, bool] = {}
    found = []
    for kind in kinds:
        carried = view.audio_at(kind)
        if carried not in worth:
            missing = {heard & ~(carried | audio) for audio in view.carried}
            worth[carried] = any(map(may_be_listed, missing))
        if worth[carried]:
            found.append(kind)
    return found
