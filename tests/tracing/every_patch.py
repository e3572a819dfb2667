"""Every patch of one and two moves there is, tried one by one: what a search must not miss.

Nothing here uses slinediag.circuit or slinediag.tracing. Contacts are joined by a plain
union-find, built anew for every set of moves; the rules are those of the documents, written out
straightforwardly. ``tests.oracle`` (networkx) checks it in test_outage_every_patch.py.
"""

from __future__ import annotations

import itertools
import math

from tests.oracle import LEGS, rear_joints, wired_normals

MISMATCH = 12.0


class Plant:
    """A facility after a failure, its contacts numbered."""

    def __init__(self, facility, boxes=(), bays=(), cables=()):
        self.facility = facility
        self.dead, self.open_bays, self.cables = set(boxes), set(bays), set(cables)
        self.ports = [
            (b.id, p.id, side)
            for b in facility.equipment.values()
            for side, ports in (("out", b.outputs), ("in", b.inputs))
            for p in ports
        ]
        self.jacks = [
            (b.id, row, n)
            for b in facility.bays.values()
            for row in ("T", "B")[: b.rows or 2]
            for n in range(1, b.width + 1)
        ]
        contacts = [(*j, c) for j in self.jacks for leg in LEGS for c in leg[:2]]
        contacts += [(*p, sign) for p in self.ports for sign in "+-"]
        self.number = {c: n for n, c in enumerate(contacts)}
        self.gone = {b.id for b in facility.equipment.values() if b.state == "removed"}
        self.whole = self.fixed(broken=False)
        self.rest = self.fixed(broken=True)
        self.cords = [(tuple(c.source), tuple(c.target)) for c in facility.cords]
        self.plugs = [tuple(p.jack) for p in facility.plugs]
        self.facts = {
            (b.id, p, side): f
            for b in facility.equipment.values()
            for (p, side), f in b.facts.items()
        }
        self.outputs = [p for p in self.ports if p[2] == "out"]
        self.inputs = [p for p in self.ports if p[2] == "in"]
        self.standby = {o for o in self.outputs if self.facts[o].standby}
        self.before = self.state(self.whole, self.cords, set(), failed=False)
        self.after = self.state(self.rest, self.cords, self.open_bays, failed=True)
        self.now_working = [
            i for i in self.inputs if i[0] not in self.dead and i[0] not in self.gone
        ]

    def fixed(self, broken):
        """The joints that no plug changes; ``broken`` with cut wires and open bays."""
        joints = []
        shut = self.open_bays if broken else set()
        cut = self.cut_wires() if broken else set()
        for one, other, swapped in rear_joints(self.facility):
            if one[0] in self.gone or other[0] in self.gone or (one, other) in cut:
                continue
            if one[0] in shut or other[0] in shut:
                continue
            for (spring, _, sign), far in zip(LEGS, LEGS[::-1] if swapped else LEGS, strict=True):
                here = (*one, spring if isinstance(one[2], int) else sign)
                there = (*other, far[0] if isinstance(other[2], int) else far[2])
                joints.append((self.number[here], self.number[there]))
        if shut:
            for mult in self.facility.mults.values():
                left = [tuple(j) for j in mult.jacks if j.bay not in shut]
                for one, other in itertools.pairwise(left):
                    for spring, _, _ in LEGS:
                        joints.append((self.number[(*one, spring)], self.number[(*other, spring)]))
        for source, target, kind in wired_normals(self.facility):
            if source[0] in shut or target[0] in shut:
                continue
            for spring, rest, _ in LEGS:
                here = (*source, rest if kind in ("full", "reverse-half") else spring)
                there = (*target, rest if kind in ("full", "half") else spring)
                joints.append((self.number[here], self.number[there]))
        return joints

    def cut_wires(self):
        """Each wire and line that is cut, by its two ends."""

        def is_cut(cable):
            return cable is not None and (
                cable in self.cables or cable.split("/")[0] in self.cables
            )

        ends = {
            ((bay.id, row, n), tuple(wire.to))
            for bay in self.facility.bays.values()
            for n, point in bay.points.items()
            for row, wire in (("T", point.top), ("B", point.bottom))
            if wire is not None and is_cut(wire.cable)
        }
        lines = [line for line in self.facility.lines.values() if is_cut(line.cable)]
        return ends | {(tuple(line.source), tuple(line.target)) for line in lines}

    def feeds(self, fixed, cords, shut, without=None):
        """Input → outputs a leg of which is joined to its +."""
        parent = list(range(len(self.number)))

        def root(n):
            while parent[n] != n:
                parent[n] = parent[parent[n]]
                n = parent[n]
            return n

        plugged = {j for c in cords for j in c} | set(self.plugs)
        joints = list(fixed)
        for jack in self.jacks:
            if jack not in plugged:
                joints += [(self.number[(*jack, a)], self.number[(*jack, b)]) for a, b, _ in LEGS]
        for cord in cords:
            if cord != without and cord[0][0] not in shut and cord[1][0] not in shut:
                joints += [
                    (self.number[(*cord[0], a)], self.number[(*cord[1], a)]) for a, _, _ in LEGS
                ]
        for one, other in joints:
            parent[root(one)] = root(other)
        legs = {}
        for output in self.outputs:
            for sign in "+-":
                legs.setdefault(root(self.number[(*output, sign)]), set()).add(output)
        return {i: frozenset(legs.get(root(self.number[(*i, "+")]), ())) for i in self.inputs}

    def ways(self, failed):
        """Input → outputs of its box that its audio goes on to."""
        found = {}
        for box in self.facility.equipment.values():
            dead = failed and box.id in self.dead
            for entry, leaving in box.bypass_ways if dead else box.ways:
                found.setdefault((box.id, entry, "in"), []).append((box.id, leaving, "out"))
        return found

    def hears(self, fed, failed):
        """Input → origins whose audio reaches it: each origin followed on its way."""
        ways = self.ways(failed)
        fed_by = {}
        for entry, outputs in fed.items():
            for output in outputs:
                fed_by.setdefault(output, []).append(entry)
        heard = {i: set() for i in self.inputs}
        for box in self.facility.equipment.values():
            if failed and box.id in self.dead:
                continue
            targets = {o for _, o in box.ways}
            for port in box.outputs:
                if port.id in targets and not box.facts[port.id, "out"].origin:
                    continue
                origin = (box.id, port.id, "out")
                queue, seen = [origin], {origin}
                for output in queue:
                    for entry in fed_by.get(output, ()):
                        heard[entry].add(origin)
                        for onward in ways.get(entry, ()):
                            if onward not in seen:
                                seen.add(onward)
                                queue.append(onward)
        return heard

    def state(self, fixed, cords, shut, failed):
        """(feeds, hears) with these cords in."""
        fed = self.feeds(fixed, cords, shut)
        return fed, self.hears(fed, failed)

    # ---- what a patch is worth

    def silenced(self):
        """The inputs of working equipment that fall silent."""
        return [
            i
            for i in self.now_working
            if self.before[1][i] - self.standby and not self.after[1][i] - self.standby
        ]

    def instead(self, entry):
        return {tuple(p) for p in self.facts[entry].instead}

    def restored(self, entry, state):
        fed, heard = state[0][entry], state[1][entry]
        wanted = (self.before[1][entry] | self.instead(entry)) - self.standby
        return bool(heard & wanted) and heard <= wanted | self.standby and len(fed) < 2

    def harmed(self, entry, state):
        """The other inputs of working equipment that suffer against the failure alone."""
        found = set()
        for other in self.now_working:
            if other == entry:
                continue
            before, then, now = self.before[1][other], self.after[1][other], state[1][other]
            fine = before | self.instead(other) | then
            doubled = len(state[0][other]) > 1 and len(self.after[0][other]) < 2
            if then - now or (before and now - fine) or doubled:
                found.add(other)
        return frozenset(found)

    def loops(self, cords, state, new):
        """Feedback: a new cord or a new feed closes a cycle."""
        fed = state[0]
        ways = self.ways(True)

        def comes_round(output, entry):
            queue, seen = [entry], {entry}
            for here in queue:
                for onward in ways.get(here, ()):
                    if onward == output:
                        return True
                    fresh = [i for i in self.inputs if onward in fed[i] and i not in seen]
                    seen.update(fresh)
                    queue += fresh
            return False

        suspects = {(o, i) for i in self.inputs for o in fed[i] - self.after[0][i]}
        for cord in new:
            without = self.feeds(self.rest, cords, self.open_bays, without=cord)
            suspects |= {(o, i) for i in self.inputs for o in fed[i] - without[i]}
        return any(comes_round(o, i) for o, i in suspects)

    def level(self, entry, fed, failed):
        """dBu at an input by the voltage divider; None unless one working feed."""
        if len(fed[entry]) != 1:
            return None
        (output,) = fed[entry]
        if failed and output[0] in self.dead:
            return None
        source = self.facts[output]
        loads = [self.facts[i] for i in self.inputs if output in fed[i]]
        load = 1 / math.fsum(1 / facts.impedance for facts in loads)
        loss = 20 * math.log10((source.impedance + load) / load)
        if source.drive == "driven" and not all(facts.balanced for facts in loads):
            loss += 20 * math.log10(2)
        return source.level - loss

    def worth(self, entry, state, harmed, moves):
        """The order of patches as far as the jacks' lengths do not come in."""
        before, now = self.before[1][entry], state[1][entry]
        was = self.level(entry, self.before[0], False)
        level = self.level(entry, state[0], True)
        change = None if was is None or level is None else level - was
        return (
            change is not None and abs(change) > MISMATCH + 1e-9,
            before != now,
            self.by_priority(harmed),
            moves,
            len(before - now),
            *self.mixed(entry, state),
            self.exchanged(state),
            10**6 if change is None else round(abs(change) * 10),
        )

    def another_mix(self, entry, state):
        """Whether an input gets a mix that it had not, and misses one that it had."""
        was = self.mixes(entry, self.before, False, through=self.dead)
        now = self.mixes(entry, state, True)
        return bool(now - was and was - now)

    def mixed(self, entry, state):
        """Whether an input gets another mix, at itself or on the way; how many others get one.

        Those others are fed anew, and had not that mix after the failure by itself.
        """
        others = {
            other
            for other in self.now_working
            if other != entry
            and state[0][other] != self.after[0][other]
            and self.another_mix(other, state)
            and self.mixes(other, state, True)
            - self.mixes(other, self.before, False, through=self.dead)
            - self.mixes(other, self.after, True)
        }
        _, way = self.on_the_way(entry, state, True)
        return self.another_mix(entry, state) or bool(others & way), len(others - way)

    def mixes(self, entry, state, failed, through=()):
        """The outputs that carry three inputs or more, next to an input on the audio's way.

        Behind those of the boxes of ``through`` come the next ones, too.
        """
        fed, heard = state
        ways = self.ways(failed)
        found, seen = set(), set()

        def follow(here):
            seen.add(here)
            for output in fed[here]:
                if not self.carries(output, heard, ways, failed):
                    continue
                behind = [i for i in self.inputs if output in ways.get(i, ())]
                if len(behind) > 2:
                    found.add(output)
                    if output[0] not in through:
                        continue
                for each in behind:
                    if each not in seen:
                        follow(each)

        follow(entry)
        return found

    def exchanged(self, state):
        """How many inputs newly get the other side of a pair than their own, and not in mono."""
        count = 0
        for box in self.facility.equipment.values():
            for pair in box.stereo_pairs:
                for own, other in (pair, pair[::-1]):
                    entry, twin = (box.id, own, "in"), (box.id, other, "in")
                    if entry not in state[0] or twin not in state[0]:
                        continue
                    wrong = {o for o in self.outputs if self.side(o) == (own == pair[1])}
                    new = state[0][entry] & wrong - state[0][twin]
                    if new and not (self.before[0][entry] | self.after[0][entry]) & wrong:
                        count += len(new)
        return count

    def side(self, output):
        """True for the left of a pair of outputs, False for its right, None for neither."""
        box = self.facility.equipment[output[0]]
        ids = {port.id for port in box.outputs}
        for left, right in box.stereo_pairs:
            if output[1] in (left, right) and {left, right} <= ids:
                return output[1] == left
        return None

    def detour(self, entry, state):
        """Working boxes on the audio's way before that are not on it now; levels amiss on it."""
        was, _ = self.on_the_way(entry, self.before, False)
        boxes, entries = self.on_the_way(entry, state, True)
        changes = [
            (self.level(i, self.before[0], False), self.level(i, state[0], True))
            for i in entries
            if state[0][i] != self.after[0][i]
        ]
        amiss = [
            now - then
            for then, now in changes
            if None not in (then, now) and abs(now - then) > MISMATCH + 1e-9
        ]
        return len(was - boxes - self.dead), len(amiss)

    def on_the_way(self, entry, state, failed):
        """The boxes, and the inputs but the last, by which an input hears what it hears."""
        fed, heard = state
        ways = self.ways(failed)
        boxes, entries, queue = set(), set(), [entry]
        for here in queue:
            for output in fed[here]:
                if not self.carries(output, heard, ways, failed):
                    continue
                boxes.add(output[0])
                for behind in self.inputs:
                    if output in ways.get(behind, ()) and behind not in entries | {entry}:
                        entries.add(behind)
                        queue.append(behind)
        return boxes, entries

    def carries(self, output, heard, ways, failed):
        """Whether an output sends audio of its own or hands on some."""
        behind = [i for i in self.inputs if output in ways.get(i, ())]
        if any(heard[i] for i in behind):
            return True
        if failed and output[0] in self.dead:
            return False
        box = self.facility.equipment[output[0]]
        return output[1] not in {o for _, o in box.ways} or bool(self.facts[output].origin)

    def by_priority(self, harmed):
        ranks = sorted(
            {
                f.priority
                for f in self.facts.values()
                if f.priority is not None and f.address.side == "in"
            }
        )
        return tuple(
            sum(1 for i in harmed if self.facts[i].priority == rank) for rank in [*ranks, None]
        )

    # ---- every set of one and two moves

    def sets_of_moves(self, keep_cords=False):
        """(pulled cords, new cords), every set of one and two moves that can be done."""
        pulls = [] if keep_cords else self.cords
        for one in pulls:
            yield (one,), ()
        yield from (((one, other), ()) for one, other in itertools.combinations(pulls, 2))
        free = self.free(())
        for cord in itertools.combinations(free, 2):
            yield (), (cord,)
        for pulled in pulls:
            for cord in itertools.combinations(self.free((pulled,)), 2):
                yield (pulled,), (cord,)
        for four in itertools.combinations(free, 4):
            a, b, c, d = four
            for pair in (((a, b), (c, d)), ((a, c), (b, d)), ((a, d), (b, c))):
                yield (), pair

    def free(self, pulled):
        held = {j for c in self.cords if c not in pulled for j in c} | set(self.plugs)
        return [j for j in self.jacks if j not in held and j[0] not in self.open_bays]

    def patches(self, entry, reach, keep_cords=False, states=None):
        """Every patch of an input as (worth, length, detour, order), best first.

        ``reach``: metres or None.
        """
        states = self.all_states(reach, keep_cords) if states is None else states
        good = {}
        for (pulled, new), (cords, state, _) in states.items():
            if self.restored(entry, state) and not self.loops(cords, state, new):
                good[pulled, new] = state, self.harmed(entry, state)
        found = []
        for (pulled, new), (state, harmed) in good.items():
            if not self.spare(pulled, new, good, harmed):
                worth = self.worth(entry, state, harmed, len(pulled) + len(new))
                length, order = states[pulled, new][2], (self.places(new), self.places(pulled))
                found.append((worth, length, self.detour(entry, state), order))
        return sorted(found)

    def places(self, cords):
        """Where the jacks of cords stand in natural order: bay, row, number."""
        return sorted(tuple(sorted(map(self.jacks.index, cord))) for cord in cords)

    def spare(self, pulled, new, good, harmed):
        """Whether one of two moves can be left out without losing restoration or adding harm."""
        moves = [("pull", c) for c in pulled] + [("put", c) for c in new]
        if len(moves) < 2:
            return False
        for left in moves:
            rest = [m for m in moves if m != left]
            key = (
                tuple(c for kind, c in rest if kind == "pull"),
                tuple(c for kind, c in rest if kind == "put"),
            )
            if key in good and good[key][1] <= harmed:
                return True
        return False

    def all_states(self, reach, keep_cords=False):
        """Every set of moves with the cords that are in then, the state, and the length in mm."""
        found = {}
        for pulled, new in self.sets_of_moves(keep_cords):
            lengths = [reach(*cord) for cord in new]
            if None in lengths:
                continue
            cords = [c for c in self.cords if c not in pulled] + list(new)
            state = self.state(self.rest, cords, self.open_bays, failed=True)
            found[pulled, new] = cords, state, sum(round(1000 * length) for length in lengths)
        return found
