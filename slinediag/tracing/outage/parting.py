"""Whether a move more can part the input to be restored from what it should not hear.

What joins outputs and inputs only ever adds to what is heard. So each origin that is foreign to
the input, and each feed too many, must come over a contact that a plug of the move opens, or over
the cord that it pulls: the outputs on the nets there must carry it.
"""

from __future__ import annotations

from slinediag.tracing.outage.board import Move
from slinediag.tracing.outage.view import View


class Parting:
    """What is wrong with one input under the moves of a view, and where that may be parted."""

    def __init__(self, view: View, number: int) -> None:
        situation = view.situation
        self._view = view
        self._foreign = view.hears(number) & ~(situation.wanted[number] | situation.standby)
        feeds = view.feeds(number)
        self._doubled = feeds if feeds.bit_count() > 1 else 0
        self._parted: dict[int, tuple[int, int]] = {}

    def may_rid(self, move: Move) -> bool:
        """Whether a move may take away all that is foreign, and all feeds but one."""
        if not self._foreign and not self._doubled:
            return True
        heard = sent = 0
        for kind in move[1:]:
            if move.pulled >= 0 or self._view.board.kinds[kind].behind:
                audio, outputs = self._at(kind)
                heard |= audio
                sent |= outputs
        return not self._foreign & ~heard and (self._doubled & ~sent).bit_count() < 2

    def _at(self, kind: int) -> tuple[int, int]:
        """The origins and outputs on the nets at a kind's springs and behind its contacts."""
        found = self._parted.get(kind)
        if found is None:
            board, outputs = self._view.board, 0
            for net in board.nets_of(board.kinds[kind].cells, self._view.effect.plugs):
                for cell in net:
                    outputs |= board.outputs[cell]
            found = self._parted[kind] = self._view.audio(outputs), outputs
        return found
