"""The running step as it is seen from near: the card, with recipe, steps and curve beside it where there is room."""

from __future__ import annotations

from PySide6.QtCore import QCoreApplication, QEvent, QSize, Qt, Signal
from PySide6.QtGui import QResizeEvent
from PySide6.QtWidgets import QHBoxLayout, QLayout, QSplitter, QWidget

from workbench.ui.bench.curve import CurvePane
from workbench.ui.bench.going_in import GoingIn
from workbench.ui.bench.sparing import Soon
from workbench.ui.bench.step_card import StepCard
from workbench.ui.bench.step_list import StepList
from workbench.ui.theme import theme_now
from workbench.ui.widgets.basic import Scroller, column, page

SIDE_EMS, STRIP_EMS = 52, 76  # from these widths on, steps and curve, and the recipe, stand beside the card

LAYS = 3  # what comes or goes changes the head, and the head the room of the card


class NearPage(QWidget):
    """scrolled()   another part of the card is in sight
    arranged()   what stands beside the card changed
    """

    scrolled = Signal()
    arranged = Signal()

    def __init__(
        self,
        card: StepCard,
        steps: StepList,
        curve: CurvePane,
        recipe: GoingIn,
        parent: QWidget | None = None,
    ) -> None:
        super().__init__(parent)
        self.field_soon = Soon(self.show_field, self)
        self.card, self.recipe_strip = card, recipe
        self.on_rest = False  # narrow: steps, curve and recipe instead of the card
        self.fits_side = self.fits_strip = True
        self.side = QSplitter(Qt.Orientation.Vertical, self)
        self.side.addWidget(page(column(steps), 4))
        self.curve_page = page(column(curve), 4)
        self.side.addWidget(self.curve_page)
        self.side.setStretchFactor(0, 2)
        self.side.setStretchFactor(1, 3)
        self.side.setChildrenCollapsible(False)
        self.scroller = Scroller(card, self)
        bar = self.scroller.verticalScrollBar()
        bar.valueChanged.connect(self.scrolled)
        bar.rangeChanged.connect(self.scrolled)
        bar.rangeChanged.connect(self._grown)
        self._aimed = -1  # where the card was scrolled to, as long as the maker reads nowhere else
        card.needs.entry.textEdited.connect(self._typed)
        self.scroller.setMinimumHeight(1)  # the head comes first, whatever takes the room
        self.front = QWidget(self)
        self.front.setLayout(column(card.head, self.scroller, gap=0))
        box = QHBoxLayout(self)
        box.setContentsMargins(0, 0, 0, 0)
        box.setSpacing(1)
        box.addWidget(recipe, 5)
        box.addWidget(self.front, 13)
        box.addWidget(self.side, 8)

    @property
    def more_to_read(self) -> bool:
        """The card goes on below what is shown."""
        bar = self.scroller.verticalScrollBar()
        return bar.value() < bar.maximum()

    def read_on(self) -> None:
        """One page further down the card."""
        bar = self.scroller.verticalScrollBar()
        bar.setValue(bar.value() + max(1, bar.pageStep() - 2 * theme_now().em()))

    def to_top(self) -> None:
        self.scroller.verticalScrollBar().setValue(0)

    def show_field(self) -> None:
        """The field is never below the edge, nor is a form that was asked for; what to do stands above both."""
        card, em = self.card, theme_now().em()
        if card.form.form is not None:
            self.scroller.ensureWidgetVisible(card.form, 0, em)
        elif (card.held or card.bursting) and not card.needs.entry.text() and not self._all_fits():
            self.to_top()  # why, what to do next or how long still comes first; a number finds its field from anywhere
        elif card.needs.isVisibleTo(card):
            self.scroller.ensureWidgetVisible(card.needs.field, 0, 0)
            self.scroller.ensureWidgetVisible(card.needs.entry, 0, theme_now().space(1))
            if card.says_frame.isVisibleTo(card):
                self.scroller.ensureWidgetVisible(card.says_frame, 0, em)
        self._aimed = self.scroller.verticalScrollBar().value()

    def _grown(self) -> None:
        """Something above the field came or went after it was brought into sight."""
        if self.scroller.verticalScrollBar().value() == self._aimed:
            self.show_field()

    def _typed(self) -> None:
        """What is typed is seen, wherever the card stood."""
        self.scroller.ensureWidgetVisible(self.card.needs.entry, 0, theme_now().em())

    def _all_fits(self) -> bool:
        """The card down to its field is in sight at once."""
        entry = self.card.needs.entry
        return entry.mapTo(self.card, entry.rect().bottomLeft()).y() <= self.scroller.viewport().height()

    def swap(self) -> None:
        """Where it is narrow: steps, curve and recipe instead of the card, and back."""
        self.on_rest = not self.on_rest
        self.arrange()

    def arrange(self) -> None:
        """Three parts where there is room, else the card alone and the rest one key away."""
        ems = self.width() / theme_now().em()
        self.fits_side, self.fits_strip = ems >= SIDE_EMS, ems >= STRIP_EMS
        self.on_rest = self.on_rest and not self.fits_strip
        self.front.setVisible(not self.on_rest)
        self.side.setVisible(self.fits_side or self.on_rest)
        self.recipe_strip.setVisible(self.fits_strip or self.on_rest)
        self.fit_head()
        self.arranged.emit()

    def lay_out(self) -> None:
        """At once, as often as one part moves another: no frame shows the card half arranged."""
        for _ in range(LAYS):
            self.fit_head()
            QCoreApplication.sendPostedEvents(None, QEvent.Type.LayoutRequest)
            for layout in self.scroller.findChildren(QLayout):
                layout.invalidate()  # some hold on to a height of before
            if not self.scroller.too_low():
                return
            QCoreApplication.postEvent(self.scroller, QEvent(QEvent.Type.LayoutRequest))
            QCoreApplication.sendPostedEvents(None, QEvent.Type.LayoutRequest)

    def fit_head(self) -> None:
        """What to do, time and temperature in large letters, unless the field would be out of sight below."""
        card, width = self.card, self.front.width()
        asks = card.needs.isVisibleTo(card) and not card.bursting
        room = width - 2 * theme_now().space(6)
        whole = card.needs.heightForWidth(room) if card.needs.hasHeightForWidth() else 0
        around = theme_now().space(5)
        least = card.needs.field_tall + around if asks else self.height() // 4
        wanted = max(least, max(whole, card.needs.sizeHint().height()) + around if asks else 0)
        card.head.fit(width, self.height(), wanted, least)

    def minimumSizeHint(self) -> QSize:
        """The card; whatever else there is gives way first."""
        return QSize(self.scroller.minimumSizeHint().width(), 8 * theme_now().em())

    def resizeEvent(self, event: QResizeEvent) -> None:
        super().resizeEvent(event)
        self.arrange()
        if event.size().height() < event.oldSize().height():  # a bar came: what counts is in sight again
            self.field_soon.start()
