"""What the checks find, kept up to date; each finding leads to its place and can be accepted."""

from __future__ import annotations

import datetime
from dataclasses import replace

from PySide6.QtWidgets import (
    QCheckBox,
    QDialog,
    QDialogButtonBox,
    QFormLayout,
    QHBoxLayout,
    QLabel,
    QLineEdit,
    QPushButton,
    QVBoxLayout,
    QWidget,
)

from slinediag.address import Jack
from slinediag.checks.check import check
from slinediag.checks.finding import SEVERITIES, Finding
from slinediag.editor import looks
from slinediag.editor.backroom import Backroom
from slinediag.editor.finding import thing_found
from slinediag.editor.line_list import LineList
from slinediag.editor.things import Thing
from slinediag.editor.workplace import Workplace
from slinediag.model.facility import Acceptance, Facility
from slinediag.model.find import find_thing
from slinediag.papers.unfit import unfit_labels
from slinediag.problems import Problem

LOOKING = "Looking it over …"


class FindingsPanel(QWidget):
    """The findings on the facility at rest, worst first."""

    def __init__(self, workplace: Workplace, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.workplace = workplace
        self.findings: tuple[Finding, ...] = ()
        self.checking = Backroom(self)
        self.checking.answered.connect(self._take)
        self.checking.finished.connect(self._end)
        self.head = QLabel(LOOKING)
        self.head.setWordWrap(True)
        self.accepted = QCheckBox("Accepted ones too")
        self.accepted.toggled.connect(self._show)
        self.lines = LineList("Findings")
        self.lines.gone_to.connect(self._go_to)
        self.lines.currentRowChanged.connect(lambda _row: self._explain())
        self.cure = QLabel()
        self.cure.setWordWrap(True)
        self.cure.setProperty("quiet", True)
        self.accept_button = QPushButton("Accept with a reason …")
        self.accept_button.clicked.connect(self.accept)
        under = QHBoxLayout()
        under.addWidget(self.accept_button)
        under.addStretch(1)
        whole = QVBoxLayout(self)
        whole.setContentsMargins(12, 4, 12, 12)
        whole.setSpacing(looks.GAP)
        whole.addWidget(self.head)
        whole.addWidget(self.accepted)
        whole.addWidget(self.lines, 1)
        whole.addWidget(self.cure)
        whole.addLayout(under)
        workplace.facility_changed.connect(self._look_over)
        self._look_over(workplace.facility)
        self._explain()

    def _look_over(self, facility: Facility) -> None:
        self.head.setText(LOOKING)
        self.checking.ask(look_over, facility, datetime.date.today())

    def _take(self, _number: int, findings: tuple[Finding, ...]) -> None:
        self.findings = findings
        self._show()

    def _end(self, _number: int, error: str) -> None:
        if error:
            self.head.setText(f"The facility could not be looked over: {error}")

    def _show(self) -> None:
        shown = [f for f in self.findings if self.accepted.isChecked() or f.accepted is None]
        self.head.setText(counted(self.findings))
        self.lines.fill((finding_words(finding), finding) for finding in shown)
        self._explain()

    def _explain(self) -> None:
        finding = self.lines.carried
        known = isinstance(finding, Finding)
        self.cure.setVisible(known)
        self.accept_button.setEnabled(isinstance(finding, Finding) and finding.accepted is None)
        if isinstance(finding, Finding):
            accepted = finding.accepted
            reason = f"Accepted: {accepted.reason or 'no reason given'}. " if accepted else ""
            self.cure.setText(f"{reason}{finding.cure} ({finding.rule}; {finding.basis})")

    def _go_to(self, finding: Finding) -> None:
        thing = place_of_finding(self.workplace.facility, finding)
        if thing is not None:
            self.workplace.select(thing, show=True)

    def accept(self) -> None:
        """Ask for a reason, and let the facility accept the finding."""
        finding = self.lines.carried
        if not isinstance(finding, Finding):
            return
        dialog = Accept(finding, self)
        dialog.accepted.connect(lambda: self._accept(finding, dialog))
        dialog.open()

    def _accept(self, finding: Finding, dialog: Accept) -> None:
        entry = Acceptance(
            finding.rule,
            ", ".join(telling_places(finding, self.findings)) or None,
            dialog.reason.text().strip(),
            dialog.by.text().strip() or None,
            datetime.date.today(),
        )
        facility = self.workplace.facility
        accept = (*facility.practice.accept, entry)
        facility = replace(facility, practice=replace(facility.practice, accept=accept))
        self.workplace.change(f"Accept {finding.rule}", facility)


class Accept(QDialog):
    """Asks why a finding may stand."""

    def __init__(self, finding: Finding, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.setWindowTitle("Accept a finding")
        words = QLabel(finding_words(finding))
        words.setWordWrap(True)
        self.reason = QLineEdit()
        self.reason.setAccessibleName("Reason")
        self.by = QLineEdit()
        self.by.setAccessibleName("By")
        form = QFormLayout()
        form.addRow("&Reason", self.reason)
        form.addRow("&By", self.by)
        buttons = QDialogButtonBox(QDialogButtonBox.StandardButton.Cancel)
        self.accept_button = buttons.addButton("Accept it", QDialogButtonBox.ButtonRole.AcceptRole)
        self.accept_button.setEnabled(False)
        self.reason.textChanged.connect(
            lambda text: self.accept_button.setEnabled(bool(text.strip()))
        )
        buttons.accepted.connect(self.accept)
        buttons.rejected.connect(self.reject)
        whole = QVBoxLayout(self)
        whole.setSpacing(2 * looks.GAP)
        whole.addWidget(words)
        whole.addLayout(form)
        whole.addWidget(buttons)
        self.setMinimumWidth(420)


def look_over(facility: Facility, today: datetime.date) -> tuple[Finding, ...]:
    """The findings, as the back room looks for them; worst first."""
    return tuple(
        sorted(check(facility, today, unfit_labels), key=lambda f: SEVERITIES.index(f.severity))
    )


def telling_places(finding: Finding, findings: tuple[Finding, ...]) -> tuple[str, ...]:
    """The fewest of a finding's places, chief ones first, that no other of its rule names too."""
    others = [set(f.where) for f in findings if f.rule == finding.rule and f is not finding]
    for count in range(1, len(finding.where)):
        places = finding.where[:count]
        if not any(set(places) <= other for other in others):
            return places
    return finding.where


def counted(findings: tuple[Finding, ...]) -> str:
    """How many findings of each kind nobody has accepted."""
    standing = [finding.severity for finding in findings if finding.accepted is None]
    if not standing:
        return "Nothing to find fault with."
    counts = [(standing.count(severity), severity) for severity in SEVERITIES]
    return ", ".join(f"{n} {kind}{'s' if n > 1 else ''}" for n, kind in counts if n) + "."


def finding_words(finding: Finding) -> str:
    """A finding in a line: how grave, and what, with its places."""
    grave = finding.severity.upper() if finding.severity in ("danger", "error") else ""
    kind = grave or finding.severity.capitalize()
    accepted = ", accepted" if finding.accepted is not None else ""
    return f"{kind}{accepted}: {finding.message}"


def place_of_finding(facility: Facility, finding: Finding) -> Thing | None:
    """The first place of a finding that can be shown."""
    for where in finding.where:
        if where in facility.bays:
            return Jack(where, "T", 1)
        found = find_thing(facility, where)
        if not isinstance(found, Problem):
            return thing_found(found)
    return None
