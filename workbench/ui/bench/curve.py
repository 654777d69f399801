"""Temperature over time: readings as points, guards as labelled bands.

pyqtgraph brings numpy and takes half a second to import, so it is imported
when the first curve is built.  It follows the newest reading until the maker
pans or zooms; then a button goes back to live.
"""

from __future__ import annotations

import math
from collections.abc import Callable
from typing import Any

from PySide6.QtCore import QAbstractTableModel, QEvent, QModelIndex, QPersistentModelIndex, Qt, Signal
from PySide6.QtGui import QFontMetricsF, QKeyEvent
from PySide6.QtWidgets import (
    QAbstractItemView,
    QHBoxLayout,
    QHeaderView,
    QLabel,
    QPushButton,
    QStackedWidget,
    QTableView,
    QVBoxLayout,
    QWidget,
)

from workbench.ui.bench.curve_data import (
    INSET,
    Band,
    CurveData,
    Naming,
    Point,
    Tone,
    labels_that_fit,
    names_apart,
    span_c,
    span_s,
    with_gaps,
)
from workbench.ui.bench.measures import Measures
from workbench.ui.bench.now import BandNames
from workbench.ui.bench.read_points import ReadPoints, Thinned
from workbench.ui.bench.words import elapsed_words
from workbench.ui.theme import as_role, theme_now

COLDEST_C, HOTTEST_C = -60.0, 400.0  # an open end of a band lies beyond what can be read

AnyIndex = QModelIndex | QPersistentModelIndex


class ReadingsModel(QAbstractTableModel):
    """The readings behind the curve, newest first."""

    def __init__(self, measures: Measures, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._measures = measures
        self._data = CurveData()

    def show(self, measures: Measures, data: CurveData) -> None:
        if measures == self._measures and data.points == self._data.points:
            self._data = data
            return
        new = len(data.points) - len(self._data.points)
        if measures == self._measures and _went_on(data, self._data):  # keeps place and choice in the table
            self.beginInsertRows(QModelIndex(), 0, new - 1)
            self._data = data
            self.endInsertRows()
            return
        self.beginResetModel()
        self._measures, self._data = measures, data
        self.endResetModel()

    def rowCount(self, parent: AnyIndex = QModelIndex()) -> int:  # noqa: B008 (Qt's own signature)
        return 0 if parent.isValid() else len(self._data.points)

    def columnCount(self, parent: AnyIndex = QModelIndex()) -> int:  # noqa: B008
        return 0 if parent.isValid() else 3

    def data(self, index: AnyIndex, role: int = Qt.ItemDataRole.DisplayRole) -> object:
        if not index.isValid() or role not in (
            Qt.ItemDataRole.DisplayRole,
            Qt.ItemDataRole.TextAlignmentRole,
        ):
            return None
        if role == Qt.ItemDataRole.TextAlignmentRole:
            return int(
                Qt.AlignmentFlag.AlignVCenter
                | (Qt.AlignmentFlag.AlignLeft if index.column() == 2 else Qt.AlignmentFlag.AlignRight)
            )
        point = self._data.points[-1 - index.row()]
        if index.column() == 0:
            return elapsed_words(point.at_s)
        if index.column() == 1:
            return self._measures.temperature(point.celsius)
        return self.tr("stirred") if point.stirred else self.tr("not stirred")

    def headerData(
        self, section: int, orientation: Qt.Orientation, role: int = Qt.ItemDataRole.DisplayRole
    ) -> object:
        if orientation is not Qt.Orientation.Horizontal or role != Qt.ItemDataRole.DisplayRole:
            return None
        return (self.tr("after"), self.tr("reading"), self.tr("how"))[section]


def _went_on(data: CurveData, before: CurveData) -> bool:
    points = data.points
    return (
        isinstance(points, ReadPoints) and len(points) > len(before.points) and points.follows(before.points)
    )


class CurvePane(QWidget):
    """The curve, its button back to live and the table of readings behind it."""

    followed = Signal(bool)

    def __init__(self, measures: Measures, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._measures = measures
        self._data = CurveData()
        self._thinned = Thinned()
        self._points: list[Point] = []  # those that are drawn
        self._follow = True
        self._plot: Any = None
        self._line: Any = None
        self._items: dict[str, list[Any]] = {}
        self._part = ""
        self._drawn: dict[str, tuple[object, ...]] = {}

        self.setFocusPolicy(Qt.FocusPolicy.TabFocus)
        self._title = QLabel(self)
        as_role(self._title, "strong")
        self._live = QPushButton(self)
        self._live.setVisible(False)
        self._live.clicked.connect(self.follow)
        self._as_table = QPushButton(self)
        self._as_table.setCheckable(True)
        self._as_table.toggled.connect(self._swap)
        top = QHBoxLayout()
        top.setContentsMargins(0, 0, 0, 0)
        top.addWidget(self._title, 1)
        top.addWidget(self._live)
        top.addWidget(self._as_table)

        self._model = ReadingsModel(measures, self)
        self._table = QTableView(self)
        self._table.setModel(self._model)
        self._table.setSelectionBehavior(QAbstractItemView.SelectionBehavior.SelectRows)
        self._table.setShowGrid(False)
        self._table.verticalHeader().setVisible(False)
        self._table.horizontalHeader().setSectionResizeMode(QHeaderView.ResizeMode.Stretch)

        self._place = QWidget(self)
        self._place_box = QVBoxLayout(self._place)
        self._place_box.setContentsMargins(0, 0, 0, 0)
        self._empty = QLabel(self._place)
        self._empty.setWordWrap(True)
        self._empty.setAlignment(Qt.AlignmentFlag.AlignCenter)
        as_role(self._empty, "muted")
        self._place_box.addWidget(self._empty, 1)
        self._stack = QStackedWidget(self)
        self._stack.addWidget(self._place)
        self._stack.addWidget(self._table)

        box = QVBoxLayout(self)
        box.setContentsMargins(0, 0, 0, 0)
        box.addLayout(top)
        box.addWidget(self._stack, 1)
        self._say()

    # -- what it shows

    def show_data(self, data: CurveData) -> None:
        self._data = data
        self._model.show(self._measures, data)
        if data.points and self._plot is None:
            self._build_plot()
        if self._plot is not None:
            self._plot.setAccessibleDescription(data.spoken)
            self._redraw()
        self.setAccessibleDescription(data.spoken)

    def set_measures(self, measures: Measures) -> None:
        self._measures = measures
        self._say()
        self._drawn = {}
        self._model.show(measures, self._data)
        if self._plot is not None:
            self._dress()
            self._redraw()

    @property
    def following(self) -> bool:
        return self._follow

    def follow(self) -> None:
        """Back to live."""
        self._follow = True
        self._live.setVisible(False)
        self._range()
        self.followed.emit(True)

    def keyPressEvent(self, event: QKeyEvent) -> None:
        """Whatever the mouse can do by dragging, the keys can do as well."""
        moves = {
            Qt.Key.Key_Left: (-0.2, 1.0),
            Qt.Key.Key_Right: (0.2, 1.0),
            Qt.Key.Key_Plus: (0.0, 0.7),
            Qt.Key.Key_Minus: (0.0, 1 / 0.7),
        }
        if event.key() == Qt.Key.Key_Home:
            self.follow()
        elif self._plot is not None and Qt.Key(event.key()) in moves:
            shift, zoom = moves[Qt.Key(event.key())]
            (first, last), _ = self._plot.viewRange()
            middle, half = (first + last) / 2 + shift * (last - first), zoom * (last - first) / 2
            self._taken_over()
            self._plot.setXRange(middle - half, middle + half, padding=0)
        else:
            super().keyPressEvent(event)

    # -- inside

    def _swap(self, table: bool) -> None:
        self._stack.setCurrentIndex(1 if table else 0)
        self._say()

    def _say(self) -> None:
        self._title.setText(self.tr("Temperature, {unit}").format(unit=self._measures.temperature_unit))
        self._live.setText(self.tr("Back to live"))
        self._as_table.setText(
            self.tr("Show the curve") if self._as_table.isChecked() else self.tr("Show as a table")
        )
        self._empty.setText(
            self.tr(
                "The curve begins with the first reading. Type what the thermometer shows and press Enter."
            )
        )
        self._table.setAccessibleName(self.tr("Readings"))
        self.setAccessibleName(self.tr("Temperature over time"))

    def changeEvent(self, event: QEvent) -> None:
        if event.type() is QEvent.Type.LanguageChange:
            self._say()
        if event.type() in (QEvent.Type.PaletteChange, QEvent.Type.FontChange) and self._plot is not None:
            self._dress()  # pyqtgraph does not follow the palette
            self._redraw()
        super().changeEvent(event)

    def _build_plot(self) -> None:
        import pyqtgraph as pg

        class ElapsedAxis(pg.AxisItem):  # type: ignore[misc]  # pyqtgraph carries no types
            def tickStrings(self, values: list[float], scale: float, spacing: float) -> list[str]:
                return [elapsed_words(value) if value >= 0 else "" for value in values]

            def tickSpacing(self, least: float, most: float, size: float) -> list[tuple[float, float]]:
                for step in (60, 300, 600, 1800, 3600, 7200, 21600):
                    if (most - least) / step <= max(2.0, size / (5.5 * theme_now().em())):
                        return [(float(step), 0.0)]
                return [(43200.0, 0.0)]

        self._plot = pg.PlotWidget(self._place, axisItems={"bottom": ElapsedAxis(orientation="bottom")})
        self._plot.setAccessibleName(self.tr("Temperature over time"))
        self._plot.setFocusPolicy(Qt.FocusPolicy.NoFocus)  # the pane around it has the keys
        self._plot.viewport().setFocusPolicy(Qt.FocusPolicy.NoFocus)
        self._plot.setMenuEnabled(False)
        self._plot.hideButtons()
        self._plot.setClipToView(True)
        self._plot.setDownsampling(auto=True, mode="peak")
        self._plot.getPlotItem().getViewBox().sigRangeChangedManually.connect(self._taken_over)
        self._line = self._plot.plot([], [], connect="finite")
        self._empty.hide()
        self._place_box.addWidget(self._plot, 1)
        self._dress()

    def _dress(self) -> None:
        import pyqtgraph as pg

        colours = theme_now().colours
        self._plot.setBackground(colours.page)
        for side in ("left", "bottom"):
            axis = self._plot.getAxis(side)
            axis.setPen(pg.mkPen(colours.edge))
            axis.setTextPen(pg.mkPen(colours.muted))
            axis.setTickFont(theme_now().font("small"))
        self._plot.getAxis("left").setWidth(int(3.2 * theme_now().em()))
        # the topmost number stands half above the plot
        self._plot.getPlotItem().layout.setContentsMargins(0, 0.6 * theme_now().em(), 0, 0)
        self._line.setPen(pg.mkPen(colours.plot_1, width=2))

    def _taken_over(self, *_: object) -> None:
        if self._follow:
            self._follow = False
            self._live.setVisible(True)
            self.followed.emit(False)

    def _y(self, celsius: float) -> float:
        return self._measures.temperature_number(celsius)

    def _redraw(self) -> None:
        """Only what changed is made anew: a reading moves points, it does not rebuild the guards."""
        data = self._data
        first, last = span_s(data)
        dress, wide = (self._measures, theme_now()), self._plot.width()
        self._draw("points", (data.points, dress), self._add_points)
        span = tuple(round(each) for each in span_c(data, self._points))  # by the points just drawn
        self._draw("bands", (data.bands, span, wide, self._plot.height(), dress), self._add_bands)
        self._draw("fan", (data.fan, dress), self._add_fan)
        marks = (data.marks, round(4 * math.log2(max(1.0, last - first))), wide, dress)
        self._draw("marks", marks, self._add_marks)
        if self._follow:
            self._range()

    def _draw(self, part: str, wanted: tuple[object, ...], add: Callable[[], None]) -> None:
        if self._drawn.get(part) == wanted:
            return
        self._drawn[part] = wanted
        for item in self._items.pop(part, []):
            self._plot.removeItem(item)
        self._part = part
        add()

    def _range(self) -> None:
        if self._plot is None:
            return
        low, high = span_c(self._data, self._points)
        self._plot.setYRange(self._y(low), self._y(high), padding=0)
        first, last = span_s(self._data)
        self._plot.setXRange(first, last, padding=0.01)

    def _add(self, item: Any) -> None:
        self._plot.addItem(item)
        self._items.setdefault(self._part, []).append(item)

    def _add_bands(self) -> None:
        """The window is named at the left inside of it, all limits at the right; none on another."""
        metrics, view = QFontMetricsF(theme_now().font("small")), self._plot.getViewBox()
        low, high = span_c(self._data, self._points)
        bands = sorted(self._data.bands, key=lambda band: _WEIGHT.index(band.tone))
        names = [
            Naming(
                (_line_c(band) - low) / (high - low),
                (metrics.horizontalAdvance(band.label) + _AROUND_PX) / max(1.0, view.width()),
                above=band.tone in (Tone.FLOOR, Tone.AIM),
                left=band.tone is Tone.WINDOW,
            )
            for band in bands
        ]
        tall = (metrics.height() + _AROUND_PX) / max(1.0, view.height())
        for band, (above, moved) in zip(bands, names_apart(names, tall), strict=True):
            self._add_band(band, above, moved + INSET)

    def _add_band(self, band: Band, above: bool, inset: float) -> None:
        """`above`: its name stands over its line; `inset`: how far from the edge, from 0 to 1 of the width."""
        import pyqtgraph as pg

        colours = theme_now().colours
        ground, edge = {
            Tone.CEILING: (None, colours.danger_ink),
            Tone.WINDOW: (colours.window_fill, colours.window_edge),
            Tone.FLOOR: (None, colours.plot_2),
            Tone.AIM: (None, colours.muted),
        }[band.tone]
        if ground is not None:
            bottom = self._y(COLDEST_C if band.low_c is None else band.low_c)
            top = self._y(HOTTEST_C if band.high_c is None else band.high_c)
            region = pg.LinearRegionItem(
                (bottom, top), orientation="horizontal", movable=False, brush=ground, pen=pg.mkPen(None)
            )
            region.setZValue(-20)
            self._add(region)
        dash = {
            Tone.CEILING: Qt.PenStyle.SolidLine,
            Tone.WINDOW: Qt.PenStyle.DashLine,
            Tone.FLOOR: Qt.PenStyle.DashDotLine,
            Tone.AIM: Qt.PenStyle.DotLine,
        }[band.tone]
        line = pg.InfiniteLine(
            self._y(_line_c(band)),
            angle=0,
            pen=pg.mkPen(edge, width=1, style=dash),
            label=band.label,
            labelOpts={
                "position": inset if band.tone is Tone.WINDOW else 1.0 - inset,
                "color": edge,
                "anchors": [(0 if band.tone is Tone.WINDOW else 1, 1 if above else 0)] * 2,
            },
        )
        line.label.setFont(theme_now().font("small"))
        line.setZValue(-10)
        self._add(line)

    def _add_fan(self) -> None:
        import pyqtgraph as pg

        fan = self._data.fan
        if fan is None or len(fan.at_s) < 2:
            return
        colours = theme_now().colours
        edge = pg.mkPen(colours.plot_1, width=1, style=Qt.PenStyle.DotLine)
        low = pg.PlotDataItem(list(fan.at_s), [self._y(value) for value in fan.low_c], pen=edge)
        high = pg.PlotDataItem(list(fan.at_s), [self._y(value) for value in fan.high_c], pen=edge)
        tint = pg.mkColor(colours.plot_1)
        tint.setAlpha(45)
        between = pg.FillBetweenItem(low, high, brush=tint)
        between.setZValue(-15)
        median = pg.PlotDataItem(
            list(fan.at_s),
            [self._y(value) for value in fan.median_c],
            pen=pg.mkPen(colours.plot_1, width=2, style=Qt.PenStyle.DashLine),
        )
        for item in (between, low, high, median):
            self._add(item)

    def _add_marks(self) -> None:
        """Each with its words at the foot of the plot; one whose words have no room is left out."""
        import pyqtgraph as pg

        colours, font = theme_now().colours, theme_now().font("small")
        first, last = span_s(self._data)
        letter = QFontMetricsF(font).averageCharWidth() / max(1.0, self._plot.getViewBox().width())
        for mark, left in labels_that_fit(self._data.marks, first, last, letter).items():
            line = pg.InfiniteLine(
                mark.at_s,
                angle=90,
                pen=pg.mkPen(colours.edge, width=1, style=Qt.PenStyle.DotLine),
                label=mark.label,
                labelOpts={
                    "position": 0.02,
                    "color": colours.muted,
                    "anchors": [(1 if left else 0, 1)] * 2,
                },
            )
            line.label.setFont(font)
            line.setZValue(-5)
            self._add(line)

    def _add_points(self) -> None:
        import pyqtgraph as pg

        colours = theme_now().colours
        points = self._points = self._thinned.of(self._data.points)
        xs, ys = with_gaps(points)
        self._line.setData(xs, [self._y(value) for value in ys], connect="finite")
        for stirred, brush in ((True, colours.plot_1), (False, colours.page)):
            chosen = [point for point in points if point.stirred is stirred]
            if chosen:
                self._add(
                    pg.ScatterPlotItem(
                        [point.at_s for point in chosen],
                        [self._y(point.celsius) for point in chosen],
                        size=9,
                        pen=pg.mkPen(colours.plot_1, width=1.5),
                        brush=pg.mkBrush(brush),
                    )
                )


_WEIGHT = (Tone.CEILING, Tone.FLOOR, Tone.AIM, Tone.WINDOW)  # what keeps its place first
_AROUND_PX = 8.0  # what the plot leaves free around a name


def _line_c(band: Band) -> float:
    """Where its line is drawn; a band is closed at one end at least."""
    at = band.low_c if band.tone is Tone.FLOOR or band.high_c is None else band.high_c
    assert at is not None
    return at


def band_names(widget: QWidget) -> BandNames:
    """The words on the curve, in the language of the window."""
    return BandNames(
        window=widget.tr("window"),
        pour_floor=widget.tr("pour floor"),
        melt_out=widget.tr("melt-out"),
        melt_ceiling=widget.tr("melt ceiling"),
        flash_safe=widget.tr("flash-safe"),
        scented_ceiling=widget.tr("scented ceiling"),
        absolute=widget.tr("never above"),
        fragrance=widget.tr("fragrance in"),
        off_heat=widget.tr("off the heat"),
        pour=widget.tr("pour"),
    )
