"""Which contacts are joined, kept up as single joints are made and opened.

Contacts are whole numbers from 0. Each belongs to one net; a joint merges two nets, taking one
away splits a net where no other way joins its halves. Both cost no more than the smaller part.
"""

from __future__ import annotations

from collections.abc import Iterator


class Nets:
    """Contacts 0 to n - 1 and the joints between them, each joint counted as often as made."""

    def __init__(self, size: int) -> None:
        self._joints: list[dict[int, int]] = [{} for _ in range(size)]
        self._net = list(range(size))
        self._members: dict[int, list[int]] = {}
        self._next = size

    def net(self, contact: int) -> int:
        """The number of the contact's net; it holds until the next change."""
        return self._net[contact]

    def members(self, contact: int) -> list[int]:
        """The contacts of its net, itself included, in no order; not to be changed."""
        return self._members.get(self._net[contact]) or [contact]

    def neighbours(self, contact: int) -> Iterator[int]:
        """The contacts joined to this one directly, in the order they were joined."""
        return iter(self._joints[contact])

    def join(self, one: int, other: int) -> None:
        """Make a joint between two different contacts."""
        joints = self._joints[one]
        joints[other] = count = joints.get(other, 0) + 1
        self._joints[other][one] = count
        if count == 1 and self._net[one] != self._net[other]:
            self._merge(one, other)

    def part(self, one: int, other: int) -> None:
        """Take one joint between two contacts away; KeyError where there is none."""
        count = self._joints[one][other] - 1
        if count:
            self._joints[one][other] = self._joints[other][one] = count
            return
        del self._joints[one][other], self._joints[other][one]
        half = self._smaller_half(one, other)
        if half is not None:
            self._split(half)

    def _merge(self, one: int, other: int) -> None:
        into, away = self.members(one), self.members(other)
        if len(into) < len(away):
            into, away = away, into
        net = self._net[into[0]]
        gone = self._net[away[0]]
        for contact in away:
            self._net[contact] = net
        self._members[net] = into
        into.extend(away)
        self._members.pop(gone, None)

    def _smaller_half(self, one: int, other: int) -> set[int] | None:
        """Search from both ends in turn; what one end reaches if it runs dry before they meet."""
        mine, theirs = {one}, {other}
        open_mine, open_theirs = [one], [other]
        while open_mine and open_theirs:
            contact = open_mine.pop()
            for near in self._joints[contact]:
                if near in theirs:
                    return None
                if near not in mine:
                    mine.add(near)
                    open_mine.append(near)
            mine, theirs = theirs, mine
            open_mine, open_theirs = open_theirs, open_mine
        return theirs if not open_theirs else mine

    def _split(self, half: set[int]) -> None:
        net = self._net[next(iter(half))]
        rest = [contact for contact in self._members.pop(net) if contact not in half]
        self._keep(net, rest)
        for contact in half:
            self._net[contact] = self._next
        self._keep(self._next, list(half))
        self._next += 1

    def _keep(self, net: int, contacts: list[int]) -> None:
        """File a net's members; a net of one contact needs no list."""
        if len(contacts) > 1:
            self._members[net] = contacts
