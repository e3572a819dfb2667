"""Pages on a printer, true to scale, one between two looks at the events, to be stopped."""

from __future__ import annotations

from collections.abc import Sequence

from PySide6.QtCore import QMarginsF, QObject, QSizeF, QTimer, Signal
from PySide6.QtGui import QPageLayout, QPageSize, QPainter
from PySide6.QtPrintSupport import QPrinter, QPrinterInfo

from slinediag.drawing.marks import Drawing
from slinediag.geometry import to_mm
from slinediag.paint import qt as paint
from slinediag.problems import Problem, problem

MM_TO_THE_INCH = 25.4
NEAR_MM = 2.5
"""How far a printer's paper may be off a sheet's size and still be meant for it: inch sizes bear
rounded figures."""


class Press(QObject):
    """Prints pages; ``printed`` tells after each how many are done, ``ended`` when no more come."""

    printed = Signal(int)
    ended = Signal(str)
    """Why it broke off; empty where it did not."""

    def __init__(self, parent: QObject | None = None) -> None:
        super().__init__(parent)
        self._pages: list[Drawing] = []
        self._painter: QPainter | None = None
        self._printer: QPrinter | None = None
        self._done = 0
        self._timer = QTimer(self, interval=0)
        self._timer.timeout.connect(self._print_one)

    @property
    def busy(self) -> bool:
        """Whether pages are still to be printed."""
        return self._timer.isActive()

    def begin(self, printer: QPrinter, pages: Sequence[Drawing]) -> None:
        """Begin to print these pages, of which there is at least one."""
        self._pages, self._printer, self._done = list(pages), printer, 0
        printer.setFullPage(True)
        printer.setCreator("slinediag")
        printer.setDocName(pages[0].title)
        lay_out(printer, pages[0])
        self._painter = QPainter()
        if not self._painter.begin(printer):
            self._end(f"{printer.printerName() or 'the printer'} does not take the pages")
            return
        self._timer.start()

    def stop(self) -> None:
        """Print no more; what the printer already has is taken back where it can be."""
        if self.busy and self._printer is not None:
            self._printer.abort()
            self._end("stopped")

    def _print_one(self) -> None:
        printer, painter = self._printer, self._painter
        assert printer is not None
        assert painter is not None
        page = self._pages[self._done]
        if self._done:
            lay_out(printer, page)
            if not printer.newPage():
                self._end(f"{printer.printerName() or 'the printer'} takes no more pages")
                return
        painter.resetTransform()
        painter.scale(*(2 * (printer.resolution() / MM_TO_THE_INCH,)))
        paint.paint(page, painter, live_text=True)
        self._done += 1
        self.printed.emit(self._done)
        if self._done == len(self._pages):
            self._end("")

    def _end(self, why: str) -> None:
        self._timer.stop()
        if self._painter is not None and self._painter.isActive():
            self._painter.end()
        self._painter = self._printer = None
        self._pages = []
        self.ended.emit(why)


def lay_out(printer: QPrinter, page: Drawing) -> None:
    """Set a printer's paper to a page's own size, lying or standing as it does."""
    layout = QPageLayout(
        _paper(page),
        QPageLayout.Orientation.Landscape
        if page.width > page.height
        else QPageLayout.Orientation.Portrait,
        QMarginsF(),
    )
    layout.setMode(QPageLayout.Mode.FullPageMode)
    printer.setPageLayout(layout)


def _paper(page: Drawing) -> QPageSize:
    """The paper of a page, upright as Qt's sizes are; a standard one by its name."""
    short, long = sorted((to_mm(page.width), to_mm(page.height)))
    size, unit = QSizeF(short, long), QPageSize.Unit.Millimeter
    standard = QPageSize.id(size, unit, QPageSize.SizeMatchPolicy.FuzzyMatch)
    if standard != QPageSize.PageSizeId.Custom:
        return QPageSize(standard)
    return QPageSize(size, unit, "", QPageSize.SizeMatchPolicy.ExactMatch)


def refusal(printer: QPrinter, pages: Sequence[Drawing]) -> Problem | None:
    """Why a printer cannot print pages true to scale: it has no paper of their size."""
    offered = QPrinterInfo(printer).supportedPageSizes()
    sizes = [size.size(QPageSize.Unit.Millimeter) for size in offered]
    return misfit(printer.printerName(), sizes, pages)


def misfit(name: str, offered: Sequence[QSizeF], pages: Sequence[Drawing]) -> Problem | None:
    """The first page that fits none of the papers offered; None where nobody knows of papers."""
    if not offered:
        return None
    papers = [sorted((size.width(), size.height())) for size in offered]
    for page in pages:
        short, long = sorted((to_mm(page.width), to_mm(page.height)))
        if not any(
            abs(short - paper[0]) <= NEAR_MM and abs(long - paper[1]) <= NEAR_MM for paper in papers
        ):
            what = f"it has no paper of {long:.0f} × {short:.0f} mm"
            hint = "Choose another sheet, or write a PDF and have it printed at 100 %"
            return problem(name, what, hint)
    return None
