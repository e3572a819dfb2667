"""The forms that add a box from a template and put a box on the bay, in one step each."""

from __future__ import annotations

from collections.abc import Sequence

from PySide6.QtCore import Qt
from PySide6.QtWidgets import (
    QCheckBox,
    QComboBox,
    QDialog,
    QDialogButtonBox,
    QFormLayout,
    QGridLayout,
    QLabel,
    QLineEdit,
    QPushButton,
    QScrollArea,
    QSpinBox,
    QVBoxLayout,
    QWidget,
)

from slinediag.address import Jack, PortAddress, Side
from slinediag.editor import looks
from slinediag.editor.lists import names
from slinediag.editor.lists.box_plan import (
    BayWish,
    BoxWish,
    Plan,
    first_place,
    following,
    missing_port,
    new_box,
    plan_box,
    plan_on_bay,
    ports_of,
    unplaced,
)
from slinediag.editor.lists.completed_field import CompletedField
from slinediag.editor.lists.judge import Judge
from slinediag.editor.things import Box
from slinediag.editor.workplace import Workplace
from slinediag.model.equipment import Equipment
from slinediag.model.facility import Facility
from slinediag.model.items import with_box
from slinediag.model.placing import free_run
from slinediag.model.templates import TEMPLATES, free_id
from slinediag.problems import Problem, RequestError

KINDS = ("half", "full", "parallel")
WHICH = ("all", "outputs", "inputs")


class BayForm(QWidget):
    """Where a box goes on a bay, and what its normals lead to."""

    def __init__(self, facility: Facility, wanted: Jack | None) -> None:
        super().__init__()
        self.facility = facility
        self._wanted = wanted
        self._ports: tuple[PortAddress, ...] = ()
        self.bay = QComboBox()
        self.bay.setAccessibleName("Bay")
        for bay in facility.bays.values():
            self.bay.addItem(f"{bay.printed}: {bay.name}", bay.id)
        self.first = QSpinBox()
        self.first.setAccessibleName("First position")
        self.first.setRange(1, 96)
        self.first.lineEdit().setTextMargins(6, 0, 0, 0)
        self.which = QComboBox()
        self.which.setAccessibleName("Ports")
        self.which.addItems(WHICH)
        self.kind = QComboBox()
        self.kind.setAccessibleName("Kind of normal")
        self.kind.addItem("as the bay has it", None)
        for kind in KINDS:
            self.kind.addItem(kind, kind)
        self.missing = QCheckBox("Add the ports that equipment does not have yet")
        self.fields: list[CompletedField] = []
        self._places: list[QLabel] = []
        self._touched: set[int] = set()
        self._following = False
        self._grid_of = QWidget()
        self._grid = QGridLayout(self._grid_of)
        self._grid.setContentsMargins(0, 0, looks.GAP, 0)
        self._lay_out()
        self.bay.currentIndexChanged.connect(lambda _row: self._to_free())

    def _lay_out(self) -> None:
        scroll = QScrollArea()
        scroll.setWidget(self._grid_of)
        scroll.setWidgetResizable(True)
        scroll.setMinimumHeight(104)
        form = QFormLayout(self)
        form.setContentsMargins(0, 0, 0, 0)
        form.addRow("&Bay", self.bay)
        form.addRow("&First position", self.first)
        form.addRow("&Ports", self.which)
        form.addRow("&Normals", self.kind)
        form.addRow("Lead to or from", scroll)
        form.addRow("", self.missing)
        self.missing.hide()

    @property
    def wish(self) -> BayWish:
        """What is wished."""
        return BayWish(
            bay=self.bay.currentData(),
            first=self.first.value(),
            ports=self._ports,
            others=tuple(field.text() for field in self.fields),
            kind=self.kind.currentData(),
            missing=self.missing.isChecked() and not self.missing.isHidden(),
        )

    def take(self, facility: Facility, ports: Sequence[PortAddress], changed: object) -> None:
        """Ask about some ports of a facility; what is typed for the same rows stays."""
        fresh = tuple(ports)
        if [p.side for p in fresh] != [p.side for p in self._ports]:
            self._make_rows(facility, fresh, changed)
        self.facility = facility
        self._ports = fresh
        for row, port in enumerate(fresh):
            item = self._grid.itemAtPosition(row, 0)
            label = item.widget() if item is not None else None
            if isinstance(label, QLabel):
                label.setText(facility.spelled(port))

    def _make_rows(self, facility: Facility, ports: Sequence[PortAddress], changed: object) -> None:
        while (item := self._grid.takeAt(0)) is not None:
            widget = item.widget()
            if widget is not None:
                widget.deleteLater()
        self.fields, self._places = [], []
        self._touched.clear()
        known = {side: names.ports(facility, side) for side in ("in", "out")}
        for row, port in enumerate(ports):
            feeds = port.side == "out"
            field = CompletedField(known["in" if feeds else "out"])
            field.setPlaceholderText("an input, by address or label" if feeds else "an output")
            word = "Normal to" if feeds else "Normal from"
            field.setAccessibleName(f"{word}, {port.port}")
            # Also when a name is chosen of those offered, which Qt does not call editing.
            field.textChanged.connect(lambda _text, row=row: self._touch(row))
            field.textChanged.connect(changed)
            place = QLabel()
            place.setProperty("quiet", True)
            self._grid.addWidget(QLabel(facility.spelled(port)), row, 0)
            self._grid.addWidget(place, row, 1)
            self._grid.addWidget(QLabel("to" if feeds else "from"), row, 2)
            self._grid.addWidget(field, row, 3)
            self.fields.append(field)
            self._places.append(place)
        self._grid.setRowStretch(len(ports), 1)

    def _touch(self, row: int) -> None:
        """What follows a typed end in its equipment is taken for the next rows, until typed."""
        if self._following:
            return
        self._touched.add(row)
        side: Side = "in" if self._ports[row].side == "out" else "out"
        next_rows = []
        for other in range(row + 1, len(self.fields)):
            if other in self._touched or self._ports[other].side != self._ports[row].side:
                break
            next_rows.append(other)
        text = self.fields[row].text()
        found = following(self.facility, text, len(next_rows), side)
        self._following = True
        for other, name in zip(next_rows, found, strict=False):
            self.fields[other].setText(name)
        self._following = False

    def to_room(self) -> bool:
        """Go where there is room, from what is selected on; False where there is none."""
        found = first_place(self.facility, max(1, len(self._ports)), self._wanted)
        if found is not None:
            self.bay.blockSignals(True)
            self.bay.setCurrentIndex(self.bay.findData(found[0]))
            self.bay.blockSignals(False)
            self.first.setValue(found[1])
        return found is not None

    def _to_free(self) -> None:
        first = free_run(self.facility, self.bay.currentData(), max(1, len(self._ports)))
        if first is not None:
            self.first.setValue(first)

    def tell_places(self) -> None:
        """Say which position each port takes, and whether ports are missing."""
        bay = self.facility.bays.get(self.bay.currentData())
        for row, label in enumerate(self._places):
            jack = "T" if self._ports[row].side == "out" else "B"
            label.setText(f"{bay.printed if bay else ''} {jack}{self.first.value() + row}")
        sides: list[Side] = ["in" if p.side == "out" else "out" for p in self._ports]
        texts = [field.text() for field in self.fields]
        lacking = any(
            missing_port(self.facility, text, side) is not None
            for text, side in zip(texts, sides, strict=True)
        )
        self.missing.setVisible(lacking)


class BoxForm(QDialog):
    """Adds a box from a template, or puts one that there is on the bay."""

    def __init__(
        self,
        workplace: Workplace,
        judge: Judge,
        box: Equipment | None = None,
        parent: QWidget | None = None,
    ) -> None:
        super().__init__(parent)
        self.workplace = workplace
        self.judge = judge
        self.box = box
        self.plan: Plan | None = None
        self.finished.connect(self.deleteLater)
        self.setWindowTitle(f"Place {box.id} on the bay" if box else "Add equipment")
        selected = workplace.selection
        self.on_bay = BayForm(workplace.facility, selected if isinstance(selected, Jack) else None)
        self._make_fields()
        self._lay_out()
        self._listen()
        self._take_template()
        self.on_bay.to_room()
        self._judge()

    def _make_fields(self) -> None:
        self.template = QComboBox()
        self.template.addItems([template.title for template in TEMPLATES])
        self.id = QLineEdit()
        self.name = QLineEdit()
        self.place = CompletedField(names.words(names.places(self.workplace.facility)))
        self.count = QSpinBox()
        self.count.lineEdit().setTextMargins(6, 0, 0, 0)
        self.counted = QLabel("Count")
        self.placed = QCheckBox("On the &bay at once")
        self.words = QLabel()
        self.words.setWordWrap(True)
        self.words.setAccessibleName("What is done, or what is wrong")
        self.words.setMinimumHeight(3 * self.fontMetrics().lineSpacing() + 2)
        self.words.setAlignment(Qt.AlignmentFlag.AlignTop | Qt.AlignmentFlag.AlignLeft)
        for field, name in (
            (self.template, "Template"),
            (self.id, "Id"),
            (self.name, "Name"),
            (self.place, "Place"),
            (self.count, "Count"),
        ):
            field.setAccessibleName(name)

    def _lay_out(self) -> None:
        whole = QVBoxLayout(self)
        whole.setContentsMargins(16, 16, 16, 16)
        whole.setSpacing(looks.GAP)
        if self.box is None:
            form = QFormLayout()
            form.addRow("&Template", self.template)
            form.addRow("&Id", self.id)
            form.addRow("&Name", self.name)
            form.addRow("P&lace", self.place)
            form.addRow(self.counted, self.count)
            whole.addLayout(form)
            whole.addWidget(self.placed)
        whole.addWidget(self.on_bay, 1)
        whole.addWidget(self.words)
        buttons = QDialogButtonBox()
        self.done_button = QPushButton("Place" if self.box else "Add")
        self.done_button.setDefault(True)
        buttons.addButton(self.done_button, QDialogButtonBox.ButtonRole.AcceptRole)
        buttons.addButton("Cancel", QDialogButtonBox.ButtonRole.RejectRole)
        buttons.accepted.connect(self._carry_out)
        buttons.rejected.connect(self.reject)
        whole.addWidget(buttons)
        self.setMinimumWidth(520)

    def _listen(self) -> None:
        self.template.currentIndexChanged.connect(lambda _row: self._take_template())
        for field in (self.id, self.name, self.place):
            field.textChanged.connect(lambda _text: self._judge())
        self.count.valueChanged.connect(lambda _count: self._judge())
        self.placed.toggled.connect(lambda _on: self._judge())
        form = self.on_bay
        form.bay.currentIndexChanged.connect(lambda _row: self._judge())
        form.first.valueChanged.connect(lambda _number: self._judge())
        form.which.currentIndexChanged.connect(lambda _row: self._choose_ports())
        form.kind.currentIndexChanged.connect(lambda _row: self._judge())
        form.missing.toggled.connect(lambda _on: self._judge())

    def _choose_ports(self) -> None:
        self._judge()
        self.on_bay.to_room()
        self._judge()

    def _take_template(self) -> None:
        """Begin with what a template is commonly called, and a free id."""
        if self.box is not None:
            return
        template = TEMPLATES[self.template.currentIndex()]
        facility = self.workplace.facility
        taken = {*facility.equipment, *facility.bays}
        fresh = free_id(template.id, taken)
        number = fresh[len(template.id) :]
        for field in (self.id, self.name, self.count):
            field.blockSignals(True)
        self.count.setRange(template.least, template.most)
        self.count.setValue(template.usual or template.least)
        self.id.setText(fresh)
        self.name.setText(f"{template.name} {number}".strip())
        for field in (self.id, self.name, self.count):
            field.blockSignals(False)
        self.counted.setText(template.counted or "Count")
        self.counted.setVisible(bool(template.counted))
        self.count.setVisible(bool(template.counted))
        self.placed.setChecked(True)
        self._judge()
        self.placed.setChecked(self.on_bay.to_room())
        self._judge()

    @property
    def _wish(self) -> BoxWish:
        template = TEMPLATES[self.template.currentIndex()]
        texts = (self.id.text(), self.name.text(), self.place.text())
        return BoxWish(template, *texts, self.count.value())

    def _judge(self) -> None:
        """Say what would be done, or what is wrong."""
        facility = self.workplace.facility
        on_bay = self.box is not None or self.placed.isChecked()
        self.on_bay.setVisible(on_bay)
        self.plan = None
        box = self.box or new_box(self._wish)
        ports = ports_of(box, self.on_bay.which.currentText())
        with_it = facility if self.box else with_box(facility, box)
        if self.box is not None:
            ports = unplaced(facility, ports)
        self.on_bay.take(with_it, ports, lambda _text: self._judge())
        self.on_bay.tell_places()
        wish = self.on_bay.wish
        try:
            if self.box is not None:
                plan = plan_on_bay(facility, wish)
            else:
                plan = plan_box(facility, self._wish, wish if on_bay else None)
            faults: Sequence[Problem] = self.judge.faults(plan.facility)
        except RequestError as error:
            self._say(error.problems[0].text(), wrong=True)
            return
        if faults:
            self._say(faults[0].text(), wrong=True)
            return
        self.plan = plan
        self._say(plan.words, wrong=False)

    def _say(self, words: str, *, wrong: bool) -> None:
        self.done_button.setEnabled(not wrong)
        self.done_button.setDefault(not wrong)
        self.words.setProperty("danger", wrong)
        self.words.setProperty("quiet", not wrong)
        self.words.style().unpolish(self.words)
        self.words.style().polish(self.words)
        self.words.setText(words)
        self.words.setAccessibleDescription(words)

    def _carry_out(self) -> None:
        if self.plan is not None:
            self.workplace.change(self.plan.name, self.plan.facility)
            self.workplace.select(Box(self.box.id if self.box else self.id.text().strip()))
            self.accept()
