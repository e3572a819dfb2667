"""How the editor looks: a drawing on paper, instruments quiet at its side; light and dark.

Contrast by WCAG 2: text at least 4.5 : 1 on its ground, edges of controls and marks 3 : 1; a test
works it out from the figures here.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import cache

from PySide6.QtCore import QByteArray, QRectF, Qt
from PySide6.QtGui import (
    QColor,
    QFont,
    QFontDatabase,
    QGuiApplication,
    QIcon,
    QImage,
    QPainter,
    QPalette,
    QPixmap,
)
from PySide6.QtSvg import QSvgRenderer
from PySide6.QtWidgets import QAbstractSpinBox, QApplication, QCompleter

from slinediag.resources import resource

FONT_FILES = ("fonts/LiberationSans-Regular.ttf", "fonts/LiberationSans-Bold.ttf")
POINTS = 10
GAP = 8
"""Pixels: the unit of all space between things."""


@dataclass(frozen=True, slots=True)
class Inks:
    """The colours of one mode, as ``#rrggbb``."""

    table: str
    """What the paper lies on."""
    ground: str
    """Panels."""
    field: str
    """Where one types, and lists."""
    edge: str
    """The edge of a control: 3 : 1 on ground and field."""
    rule: str
    """A faint rule between things; carries no meaning."""
    text: str
    quiet: str
    accent: str
    on_accent: str
    danger: str


LIGHT = Inks(
    table="#d9d7d1",
    ground="#f4f2ed",
    field="#ffffff",
    edge="#7d7a72",
    rule="#d5d2ca",
    text="#1c1e21",
    quiet="#55534d",
    accent="#00629b",
    on_accent="#ffffff",
    danger="#a63d00",
)
DARK = Inks(
    table="#15171a",
    ground="#22252a",
    field="#1a1c20",
    edge="#858b94",
    rule="#3a3f46",
    text="#ece9e2",
    quiet="#b4b2ab",
    accent="#6cb8ea",
    on_accent="#10202b",
    danger="#ff9b66",
)


def inks() -> Inks:
    """The colours of the mode that the system is in."""
    scheme = QGuiApplication.styleHints().colorScheme()
    return DARK if scheme == Qt.ColorScheme.Dark else LIGHT


@cache
def family() -> str:
    """The one type family, bundled."""
    names: list[str] = []
    for file in FONT_FILES:
        number = QFontDatabase.addApplicationFontFromData(QByteArray(resource(file).read_bytes()))
        names += QFontDatabase.applicationFontFamilies(number)
    return names[0] if names else "sans-serif"


def font(points: float = POINTS, *, bold: bool = False) -> QFont:
    """The family at a size."""
    made = QFont(family())
    made.setPointSizeF(points)
    made.setBold(bold)
    return made


def dress(application: QApplication) -> None:
    """Give the application its font, palette and style sheet, and follow the system's mode."""
    application.setStyle("Fusion")
    application.setFont(font())
    application.setWindowIcon(QIcon(str(resource("desktop/slinediag.svg"))))
    QGuiApplication.setDesktopFileName("slinediag")
    _colour(application)
    hints = QGuiApplication.styleHints()
    hints.colorSchemeChanged.connect(lambda _scheme: _colour(application))


def _colour(application: QApplication) -> None:
    ink = inks()
    application.setPalette(palette(ink))
    application.setStyleSheet(style_sheet(ink))


def palette(ink: Inks) -> QPalette:
    """The palette of a mode."""
    made = QPalette()
    role = QPalette.ColorRole
    for which, colour in (
        (role.Window, ink.ground),
        (role.WindowText, ink.text),
        (role.Base, ink.field),
        (role.AlternateBase, ink.ground),
        (role.Text, ink.text),
        (role.PlaceholderText, ink.quiet),
        (role.Button, ink.ground),
        (role.ButtonText, ink.text),
        (role.Highlight, ink.accent),
        (role.HighlightedText, ink.on_accent),
        (role.ToolTipBase, ink.field),
        (role.ToolTipText, ink.text),
        (role.Link, ink.accent),
    ):
        made.setColor(which, QColor(colour))
    for which in (role.WindowText, role.Text, role.ButtonText):
        made.setColor(QPalette.ColorGroup.Disabled, which, QColor(ink.edge))
    return made


def style_sheet(ink: Inks) -> str:
    """The style sheet of a mode: flat, with space, and focus that can be seen."""
    return f"""
    QMainWindow, QDialog {{ background: {ink.ground}; }}
    QMainWindow::separator {{ background: {ink.rule}; width: 1px; height: 1px; }}
    QToolBar {{ background: {ink.ground}; border: none; border-bottom: 1px solid {ink.rule};
        spacing: 2px; padding: 5px 8px; }}
    QToolBar::separator {{ background: {ink.rule}; width: 1px; margin: 5px 7px; }}
    QToolButton {{ border: 2px solid transparent; border-radius: 4px; padding: 4px 7px; }}
    QToolButton:hover {{ background: {ink.rule}; }}
    QToolButton:checked {{ border-bottom: 2px solid {ink.accent}; border-radius: 0; }}
    QToolButton:focus {{ border: 2px solid {ink.accent}; border-radius: 4px; }}
    QPushButton {{ background: {ink.field}; border: 1px solid {ink.edge}; border-radius: 4px;
        padding: 5px 12px; margin: 1px; }}
    QPushButton:hover {{ border-color: {ink.accent}; }}
    QPushButton:checked {{ border: 1px solid {ink.accent}; color: {ink.accent}; }}
    QPushButton:focus {{ border: 2px solid {ink.accent}; margin: 0; }}
    QPushButton:default {{ background: {ink.accent}; color: {ink.on_accent};
        border-color: {ink.accent}; }}
    QPushButton:disabled {{ color: {ink.edge}; border-color: {ink.rule}; }}
    QLineEdit, QPlainTextEdit {{ background: {ink.field};
        border: 1px solid {ink.edge}; border-radius: 4px; padding: 4px 7px; margin: 1px;
        selection-background-color: {ink.accent}; selection-color: {ink.on_accent}; }}
    QAbstractSpinBox QLineEdit, QComboBox QLineEdit {{ border: none; background: transparent;
        padding: 0; margin: 0 0 0 5px; }}
    QComboBox, QAbstractSpinBox {{ background: {ink.field}; border: 1px solid {ink.edge};
        border-radius: 4px; padding: 3px 5px; margin: 1px; min-height: 18px; }}
    QAbstractItemView QComboBox, QAbstractItemView QAbstractSpinBox {{ padding: 0 3px; margin: 0;
        min-height: 0; }}
    QComboBox::drop-down {{ border: none; width: 20px; }}
    QComboBox::down-arrow, QAbstractSpinBox::down-arrow {{ image: url("{arrow("down")}");
        width: 12px; height: 12px; }}
    QAbstractSpinBox::up-arrow {{ image: url("{arrow("up")}"); width: 12px; height: 12px; }}
    QAbstractSpinBox::up-button, QAbstractSpinBox::down-button {{ border: none; width: 20px;
        background: transparent; }}
    QSlider:focus {{ border: 2px solid {ink.accent}; border-radius: 4px; }}
    QComboBox:focus, QAbstractSpinBox:focus {{ border: 2px solid {ink.accent}; margin: 0; }}
    QComboBox:disabled, QAbstractSpinBox:disabled {{ color: {ink.edge};
        border-color: {ink.rule}; }}
    QCheckBox:focus {{ color: {ink.accent}; text-decoration: underline; }}
    QLineEdit:focus, QPlainTextEdit:focus {{
        border: 2px solid {ink.accent}; margin: 0; }}
    QListView, QTreeView, QTableView {{ background: {ink.field}; border: 1px solid {ink.rule};
        border-radius: 4px; padding: 2px; margin: 1px; outline: none; }}
    QListView:focus, QTreeView:focus, QTableView:focus {{ border: 2px solid {ink.accent};
        margin: 0; }}
    QListView#offers {{ padding: 0; margin: 0; border: 1px solid {ink.accent};
        border-radius: 0; }}
    QListView::item {{ padding: 5px 6px; border-bottom: 1px solid {ink.rule}; }}
    QListView::item:selected {{ background: {ink.accent}; color: {ink.on_accent}; }}
    QDockWidget {{ font-weight: bold; }}
    QDockWidget::title {{ background: {ink.ground}; padding: 9px 12px 5px 12px; }}
    QLabel[quiet="true"] {{ color: {ink.quiet}; }}
    QLabel[danger="true"] {{ color: {ink.danger}; font-weight: bold; }}
    QLabel[head="true"] {{ font-weight: bold; }}
    QStatusBar {{ background: {ink.ground}; border-top: 1px solid {ink.rule}; }}
    QStatusBar::item {{ border: none; }}
    QMenu {{ background: {ink.field}; border: 1px solid {ink.edge}; padding: 4px; }}
    QMenu::item {{ padding: 5px 26px 5px 12px; border-radius: 3px; }}
    QMenu::item:selected {{ background: {ink.accent}; color: {ink.on_accent}; }}
    QMenu::item:disabled {{ color: {ink.edge}; }}
    QMenu::separator {{ height: 1px; background: {ink.rule}; margin: 4px 6px; }}
    QMenuBar {{ background: {ink.ground}; }}
    QMenuBar::item {{ padding: 5px 9px; }}
    QMenuBar::item:selected {{ background: {ink.accent}; color: {ink.on_accent}; }}
    QTabBar::tab {{ padding: 4px 10px 6px 10px; border: 2px solid transparent; }}
    QTabBar::tab:selected {{ border-bottom: 2px solid {ink.accent}; }}
    QTabBar::tab:focus {{ border: 2px solid {ink.accent}; }}
    QScrollArea {{ border: none; }}
    QToolTip {{ background: {ink.field}; color: {ink.text}; border: 1px solid {ink.edge};
        padding: 4px; }}
    """


def indent(spin: QAbstractSpinBox) -> None:
    """Give the words of a spin box some space from its edge: style sheets do not reach there."""
    spin.lineEdit().setTextMargins(GAP - 2, 0, 0, 0)


def frame_offers(completer: QCompleter) -> None:
    """Frame the list that a field offers as thinly as Qt reckons.

    With a wider frame a short list is too low for its lines, and gets a scroll bar.
    """
    popup = completer.popup()
    assert popup is not None
    popup.setObjectName("offers")


def arrow(way: str) -> str:
    """The path of an arrow, up or down, in a grey that is seen in either mode."""
    return resource(f"icons/arrow_{way}.svg").as_posix()


def icon(name: str) -> QIcon:
    """A symbol of resources/icons in the colour of text, crisp at every size."""
    ink = inks()
    made = QIcon()
    for mode, colour in (
        (QIcon.Mode.Normal, ink.text),
        (QIcon.Mode.Disabled, ink.edge),
    ):
        for size in (20, 40):
            made.addPixmap(_picture(name, size, colour), mode)
    return made


def _picture(name: str, size: int, colour: str) -> QPixmap:
    drawn = resource(f"icons/{name}.svg").read_text(encoding="utf-8")
    renderer = QSvgRenderer(QByteArray(drawn.replace("#000", colour).encode()))
    image = QImage(size, size, QImage.Format.Format_ARGB32_Premultiplied)
    image.fill(Qt.GlobalColor.transparent)
    painter = QPainter(image)
    renderer.render(painter, QRectF(0, 0, size, size))
    painter.end()
    return QPixmap.fromImage(image)
