"""The outage: what has failed, what is silent, and patches to try, whole or plug by plug."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace

from PySide6.QtCore import QModelIndex, Qt, SignalInstance
from PySide6.QtGui import QStandardItem, QStandardItemModel
from PySide6.QtWidgets import (
    QCheckBox,
    QCompleter,
    QHBoxLayout,
    QLabel,
    QLineEdit,
    QPushButton,
    QSpinBox,
    QVBoxLayout,
    QWidget,
)

from slinediag.editor import looks
from slinediag.editor.backroom import Backroom
from slinediag.editor.finding import folded
from slinediag.editor.line_list import LineList
from slinediag.editor.outage_steps import (
    both,
    parts,
    steps_of,
    trial_after,
    what_may_fail,
    whole_trial,
    without,
)
from slinediag.editor.things import Thing
from slinediag.editor.workplace import Workplace
from slinediag.model.facility import Facility
from slinediag.problems import problem
from slinediag.tracing.outage.answer import MOST_MOVES, outage
from slinediag.tracing.outage.cost_words import cost_lines, mind_lines
from slinediag.tracing.outage.failure import Failure
from slinediag.tracing.outage.no_patch_words import why_without
from slinediag.tracing.outage.values import Outage, Patch, SilencedInput, Stage, Together
from slinediag.tracing.outage.words import (
    COSTS,
    MIND_FIRST,
    NO_DUMMY,
    NO_PATCH,
    back_again,
    back_words,
    cut_short_lines,
    nowhere_lines,
    on_standby,
    patch_clause,
    step_sentence,
    still_silent,
    weakened_sentence,
)
from slinediag.tracing.phrases import NAMED, counted, listed, port_name
from slinediag.tracing.values import Trial
from slinediag.tracing.words import on_bypass

CARRIES = Qt.ItemDataRole.UserRole
CHOOSE = "Choose what has failed: a box, a bay, a place or a cable."
INSET = "      "
WORKING = "Working it out …"


class OutagePanel(QWidget):
    """Chooses what has failed, shows what falls silent, and puts patches in as trials."""

    def __init__(self, workplace: Workplace, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.workplace = workplace
        self.failure = Failure()
        self.answer: Outage | None = None
        self.reckoning = Backroom(self)
        self._steps_of: Patch | Together | None = None
        self._done = 0
        self._make_chooser()
        self._make_answer()
        self._make_steps()
        self._lay_out()
        workplace.facility_changed.connect(self._take_facility)
        self._take_facility(workplace.facility)

    # ---- making

    def _make_chooser(self) -> None:
        self.chooser = QLineEdit()
        self.chooser.setPlaceholderText("What has failed?")
        self.chooser.setAccessibleName("What has failed")
        self._choices = QStandardItemModel(self)
        completer = QCompleter(self._choices, self)
        completer.setFilterMode(Qt.MatchFlag.MatchContains)
        completer.setCaseSensitivity(Qt.CaseSensitivity.CaseInsensitive)
        completer.setMaxVisibleItems(14)
        chosen: SignalInstance = completer.activated[QModelIndex]  # type: ignore[index]
        chosen.connect(lambda index: self.fail(index.data(CARRIES)))
        looks.frame_offers(completer)
        self.chooser.setCompleter(completer)
        self.chooser.returnPressed.connect(self.fail_typed)
        self.failed = LineList("What has failed")
        self.failed.setToolTip("Delete takes a line away")
        self.failed.removed.connect(self.mend)
        self.moves = QSpinBox()
        self.moves.setRange(1, MOST_MOVES)
        self.moves.setValue(2)
        self.moves.setAccessibleName("Cords put in or pulled at most")
        self.moves.setPrefix("at most ")
        self.moves.setSuffix(" moves")
        looks.indent(self.moves)
        self.moves.valueChanged.connect(self.work_out)
        self.keep = QCheckBox("Pull no cords")
        self.keep.toggled.connect(self.work_out)

    def _make_answer(self) -> None:
        self.head = QLabel(CHOOSE)
        self.head.setWordWrap(True)
        self.lines = LineList("What falls silent, and what restores it")
        self.lines.gone_to.connect(self._go_to)
        self.lines.currentRowChanged.connect(lambda _row: self._enable())
        self.put_button = QPushButton("Put it in")
        self.put_button.setToolTip("Try the whole patch on the chart")
        self.put_button.clicked.connect(self.put_in)
        self.step_button = QPushButton("Plug by plug")
        self.step_button.clicked.connect(self.begin_steps)
        self.reckoning.answered.connect(self._take_answer)
        self.reckoning.finished.connect(self._end_reckoning)

    def _make_steps(self) -> None:
        self.step_words = QLabel()
        self.step_words.setWordWrap(True)
        self.step_words.setAccessibleName("This step")
        self.back_button = QPushButton("Back")
        self.back_button.clicked.connect(lambda: self._step_to(self._done - 1))
        self.next_button = QPushButton("Next plug")
        self.next_button.clicked.connect(lambda: self._step_to(self._done + 1))
        self.end_button = QPushButton("All patches")
        self.end_button.clicked.connect(self._end_steps)
        self.steps = QWidget()
        inside = QVBoxLayout(self.steps)
        inside.setAlignment(Qt.AlignmentFlag.AlignTop)
        inside.setContentsMargins(0, 0, 0, 0)
        inside.addWidget(self.step_words)
        buttons = QHBoxLayout()
        buttons.addWidget(self.back_button)
        buttons.addWidget(self.next_button)
        buttons.addWidget(self.end_button)
        inside.addLayout(buttons)
        self.steps.hide()

    def _lay_out(self) -> None:
        self.patches = QWidget()
        options = QHBoxLayout()
        options.addWidget(self.moves)
        options.addWidget(self.keep)
        options.addStretch(1)
        buttons = QHBoxLayout()
        buttons.addWidget(self.put_button)
        buttons.addWidget(self.step_button)
        buttons.addStretch(1)
        chosen = QVBoxLayout(self.patches)
        chosen.setContentsMargins(0, 0, 0, 0)
        chosen.setSpacing(looks.GAP)
        chosen.addWidget(self.chooser)
        chosen.addWidget(self.failed)
        chosen.addLayout(options)
        chosen.addWidget(self.head)
        chosen.addWidget(self.lines, 1)
        chosen.addLayout(buttons)
        chosen.addStretch(0)
        whole = QVBoxLayout(self)
        whole.setContentsMargins(12, 4, 12, 12)
        whole.addWidget(self.patches)
        whole.addWidget(self.steps)
        self._show()

    # ---- what has failed

    def fail(self, failure: Failure) -> None:
        """Take this as failed too."""
        self.failure = both(self.failure, failure)
        self.chooser.clear()
        self.work_out()

    def fail_typed(self) -> None:
        """Take what is typed as failed, if it names one thing."""
        wanted = folded(self.chooser.text())
        if not wanted:
            return
        choices = list(what_may_fail(self.workplace.facility))
        begun = [failure for words, failure in choices if folded(words).startswith(wanted)]
        if begun:
            self.fail(begun[0])
            return
        self.workplace.refuse((problem(self.chooser.text(), "nothing bears this name", CHOOSE),))

    def mend(self, what: Failure) -> None:
        """Take this as working again."""
        self.failure = without(self.failure, what)
        self.work_out()

    def work_out(self) -> None:
        """Work out what falls silent and what restores it, away from the event loop."""
        self.answer = None
        self._end_steps()
        if self.failure == Failure():
            self.reckoning.stop()
        else:
            facility, moves = self.workplace.facility, self.moves.value()
            self.reckoning.ask(work_out, facility, self.failure, moves, self.keep.isChecked())
        self._show()

    def _take_facility(self, facility: Facility) -> None:
        self._choices.clear()
        names = dict(what_may_fail(facility))
        for words, failure in names.items():
            item = QStandardItem(words)
            item.setData(failure, CARRIES)
            self._choices.appendRow(item)
        known = set(names.values())
        for part in parts(self.failure):
            if part not in known:
                self.failure = without(self.failure, part)
        if self.failure != Failure() or self.answer is not None:
            self.work_out()

    # ---- the answer

    def _take_answer(self, _number: int, answer: Outage) -> None:
        self.answer = answer
        self._show()

    def _end_reckoning(self, _number: int, error: str) -> None:
        if error:
            self.head.setText(f"This could not be worked out: {error}")

    def _show(self) -> None:
        names = {failure: words for words, failure in what_may_fail(self.workplace.facility)}
        self.failed.fill((names.get(part, ""), part) for part in parts(self.failure))
        self.failed.setVisible(self.failure != Failure())
        self.failed.shrink_to(3)
        self.head.setText(self._head())
        answer = self.answer
        self.lines.fill(answer_lines(answer) if answer is not None else ())
        if answer is not None and answer.silenced:
            self.lines.setCurrentRow(0)
        self.lines.setVisible(answer is not None and self.lines.count() > 0)
        self._enable()

    def _head(self) -> str:
        if self.failure == Failure():
            return CHOOSE
        if self.answer is None:
            return WORKING
        facility, count = self.workplace.facility, len(self.answer.silenced)
        silent = f"{count} input{'s fall' if count > 1 else ' falls'} silent."
        passing = on_bypass(facility, self.failure.dead_boxes(facility))
        return " ".join((silent if count else "Nothing falls silent.", *passing))

    def _enable(self) -> None:
        chosen = isinstance(self.lines.carried, Patch | Together)
        shown = self.answer is not None and bool(self.answer.silenced)
        for button in (self.put_button, self.step_button):
            button.setVisible(shown)
            button.setEnabled(chosen)

    def _go_to(self, carried: Thing | Patch | Together) -> None:
        if not isinstance(carried, Patch | Together):
            self.workplace.select(carried, show=True)

    # ---- trying

    def put_in(self) -> None:
        """Put the chosen patch on as the trial, with what has failed."""
        patch = self.lines.carried
        if isinstance(patch, Patch | Together):
            self._end_steps()
            trial = whole_trial(self.workplace.facility, self.failure, patch)
            self._try(trial)
            moved = (*trial.cords, *trial.pulled_cords)
            jacks = (*trial.plugs, *(jack for cord in moved for jack in cord))
            if jacks:
                self.workplace.show(jacks[0])

    def begin_steps(self) -> None:
        """Go through the chosen patch plug by plug."""
        patch = self.lines.carried
        if isinstance(patch, Patch | Together) and steps_of(patch):
            self._steps_of = patch
            self.patches.hide()
            self.steps.show()
            self.next_button.setFocus(Qt.FocusReason.OtherFocusReason)
            self._step_to(0)

    def _step_to(self, done: int) -> None:
        """Have this many steps done, and say what the next one is."""
        if self._steps_of is None:
            return
        steps = steps_of(self._steps_of)
        self._done = max(0, min(done, len(steps)))
        facility = self.workplace.facility
        self._try(trial_after(facility, self.failure, steps[: self._done]))
        if self._done < len(steps):
            step = steps[self._done]
            words = f"{self._done + 1} of {len(steps)}: {step_sentence(facility, step)}"
            if step.dummy:
                words = f"{words}\n{NO_DUMMY}"
            if not self._done:
                words = "\n".join((*_minded(facility, self._steps_of), words))
            self.workplace.select(step.jack, show=True)
        else:
            back = back_at_last(facility, self._steps_of)
            words = "\n".join((f"All {len(steps)} plugs are in their places.", *back))
        self.step_words.setText(words)
        self.back_button.setEnabled(self._done > 0)
        self.next_button.setEnabled(self._done < len(steps))

    def _try(self, trial: Trial) -> None:
        self.workplace.try_out(trial, replace(self.failure, boxes=()))

    def _end_steps(self) -> None:
        self._steps_of = None
        focus = self.focusWidget()
        in_steps = focus is not None and self.steps.isAncestorOf(focus) and focus.hasFocus()
        self.patches.show()
        if in_steps:
            self.lines.setFocus(Qt.FocusReason.OtherFocusReason)
        self.steps.hide()


def work_out(facility: Facility, failure: Failure, moves: int, keep_cords: bool) -> Outage:
    """The outage, as the back room works it out."""
    return outage(facility, failure, moves=moves, keep_cords=keep_cords)


def answer_lines(answer: Outage) -> Iterator[tuple[str, Thing | Patch | Together | None]]:
    """Lines of an answer, in the words of the command: all patches together, each silent input
    with its own, what all together cost, and what hears less or something else."""
    facility, together = answer.facility, answer.together
    stage = together.by_hand
    if stage.steps:
        back = " ".join(back_again(facility, stage.outcomes, most=NAMED))
        yield f"All together: {patch_words(stage)}. {back}", together
        minded = mind_lines(facility, stage)
        yield from ((f"{INSET}{MIND_FIRST}: {line}", together) for line in minded)
    beside = (
        *still_silent(facility, answer),
        *on_standby(facility, answer.missed),
        *cut_short_lines(facility, answer.moves, answer.missed),
    )
    yield from ((words, None) for words in beside)
    yield from ((words, None) for words in nowhere_lines(answer))
    for silenced in answer.missed:
        yield f"{silent_words(facility, silenced)} falls silent", silenced.input
        for patch in silenced.patches:
            yield f"{INSET}{patch_clause(facility, patch)}", patch
        if why := why_without(silenced):
            yield f"{INSET}{NO_PATCH}: {why}", None
    costs = cost_lines(facility, stage)
    if costs:
        yield f"{COSTS}, all together:", together
        yield from ((f"{INSET}{line}", None) for line in costs)
    for weakened in (*answer.weakened, *answer.gaining):
        yield weakened_sentence(facility, weakened), weakened.input


def _minded(facility: Facility, patch: Patch | Together) -> Iterator[str]:
    """What has to be minded before the first plug of a patch moves, a sentence to a line."""
    told = patch.by_hand if isinstance(patch, Together) else patch
    yield from (f"{MIND_FIRST}: {line}" for line in mind_lines(facility, told))


def silent_words(facility: Facility, silenced: SilencedInput) -> str:
    """A silent input by its priority and label."""
    first = f"Priority {silenced.priority}: " if silenced.priority is not None else ""
    return f"{first}{port_name(facility, silenced.input)}"


def patch_words(stage: Stage) -> str:
    """How much there is to do."""
    dummies = sum(len(jacks) for jacks in stage.dummies.values())
    counts = (
        (len(stage.pulls), "pull"),
        (len(stage.cords) - len(stage.dummies), "cord"),
        (dummies, "dummy plug"),
    )
    return listed(counted(count, word) for count, word in counts if count)


def back_at_last(facility: Facility, patch: Patch | Together) -> Iterator[str]:
    """How the inputs are back that a patch restores, once all its plugs are in."""
    if isinstance(patch, Together):
        yield from back_again(facility, patch.by_hand.outcomes)
    else:
        words = back_words(facility, patch.heard, loud=False)
        yield f"{port_name(facility, patch.heard.input)} is {words}."
