"""What is known of the thing selected, and what can be done with it."""

from __future__ import annotations

from PySide6.QtCore import Qt, QTimer, Signal
from PySide6.QtWidgets import QHBoxLayout, QLabel, QPushButton, QVBoxLayout, QWidget

from slinediag.address import Jack
from slinediag.editor import looks
from slinediag.editor.lighting import way_to_light
from slinediag.editor.line_list import LineList
from slinediag.editor.things import Box, Thing
from slinediag.editor.trials import Item, item_at, pull_at
from slinediag.editor.workplace import Workplace
from slinediag.model.labels import jack_name
from slinediag.tracing.way import Hop, Way
from slinediag.tracing.way_words import way_lines

SHOWN_AFTER = 150
"""Milliseconds from an edit until the way is traced anew: quick edits do not wait for it."""
NOTHING = "Click a jack, a line or a box, or find one by its name."


class SelectedPanel(QWidget):
    """The selection in words: what it is, where it comes from, where it goes."""

    on_face = Signal(object)
    """A jack that is to be seen on the face of its bay."""

    def __init__(self, workplace: Workplace, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.workplace = workplace
        self.head = QLabel(NOTHING)
        self.head.setWordWrap(True)
        self.lines = LineList("What is known of it")
        self.lines.gone_to.connect(lambda thing: workplace.select(thing, show=True))
        self.plug_button = QPushButton("Dummy plug")
        self.plug_button.clicked.connect(self._plug)
        self.pull_button = QPushButton("Pull")
        self.pull_button.clicked.connect(self._pull)
        self.fail_button = QPushButton("Take as failed")
        self.fail_button.clicked.connect(self._fail)
        self.face_button = QPushButton("On the bay")
        self.face_button.clicked.connect(self._face)
        buttons = QHBoxLayout()
        for button in (self.plug_button, self.pull_button, self.fail_button, self.face_button):
            buttons.addWidget(button)
        buttons.addStretch(1)
        whole = QVBoxLayout(self)
        whole.setContentsMargins(12, 4, 12, 12)
        whole.setSpacing(looks.GAP)
        whole.addWidget(self.head)
        whole.addLayout(buttons)
        whole.addWidget(self.lines, 1)
        whole.addStretch(0)
        whole.setAlignment(Qt.AlignmentFlag.AlignTop)
        workplace.selection_changed.connect(self.show_thing)
        self._later = QTimer(self, singleShot=True, interval=SHOWN_AFTER)
        self._later.timeout.connect(lambda: self.show_thing(workplace.selection))
        workplace.facility_changed.connect(lambda _: self._later.start())
        workplace.trial_changed.connect(lambda _: self._enable())
        self.show_thing(workplace.selection)

    def show_thing(self, thing: Thing | None) -> None:
        """Show what is known of a thing."""
        self._later.stop()
        way = way_to_light(self.workplace.facility, thing) if thing is not None else None
        if way is None:
            self.head.setText(NOTHING)
            self.head.setProperty("head", False)
            self.lines.fill(())
        else:
            title, *rest = way_lines(way)
            self.head.setText(title)
            self.head.setProperty("head", True)
            self.lines.fill(_going(way, rest))
        self.head.style().polish(self.head)
        self.lines.setVisible(way is not None)
        self._enable()

    def _enable(self) -> None:
        thing = self.workplace.selection
        jack = thing if isinstance(thing, Jack) else None
        tried = item_at(self.workplace.trial, jack) if jack else None
        pull = pull_at(self.workplace.facility, jack) if jack else None
        pulled = pull is not None and not self._is_tried(pull)
        self.plug_button.setVisible(jack is not None)
        self.plug_button.setEnabled(jack is not None and tried is None and not pulled)
        self.pull_button.setVisible(jack is not None)
        self.pull_button.setEnabled(pulled or tried is not None)
        self.fail_button.setVisible(isinstance(thing, Box))
        self.fail_button.setEnabled(
            isinstance(thing, Box) and thing.id not in self.workplace.trial.failed
        )
        self.face_button.setVisible(jack is not None)

    def _is_tried(self, item: Item) -> bool:
        trial = self.workplace.trial
        return item.what in (*trial.pulled_cords, *trial.pulled_plugs)

    def _plug(self) -> None:
        thing = self.workplace.selection
        if isinstance(thing, Jack):
            self.workplace.put(Item("plug", thing))

    def _pull(self) -> None:
        """Pull what is in the jack: of the trial first, else what stands in it."""
        thing = self.workplace.selection
        if not isinstance(thing, Jack):
            return
        tried = item_at(self.workplace.trial, thing)
        if tried is not None:
            self.workplace.take_out(tried)
            return
        standing = pull_at(self.workplace.facility, thing)
        if standing is not None:
            self.workplace.put(standing)

    def _fail(self) -> None:
        thing = self.workplace.selection
        if isinstance(thing, Box):
            self.workplace.put(Item("failed", thing.id))

    def _face(self) -> None:
        if isinstance(self.workplace.selection, Jack):
            self.on_face.emit(self.workplace.selection)


def _going(way: Way, lines: list[str]) -> list[tuple[str, Thing | None]]:
    """The lines of a way, those that name a hop going to its far end."""
    hops = {id(hop): hop for hop in (*way.upstream, *way.downstream)}
    waiting: list[tuple[Hop, Thing]] = [(hop, hop.source) for hop in way.upstream]
    waiting += [(hop, hop.target) for hop in way.downstream]
    going: list[tuple[str, Thing | None]] = []
    jacks = {jack_name(way.facility, facts.jack): facts.jack for facts in way.jacks}
    for line in lines:
        if " → " in line and waiting and hops:
            going.append((line, waiting.pop(0)[1]))
            continue
        named = next(
            (jack for name, jack in jacks.items() if line.strip().startswith(name + ":")), None
        )
        going.append((line, named))
    return going
