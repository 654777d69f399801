"""A fault in a method that Qt calls must reach the hook, and not end the process.

Where an error leaves a Python method that stands in for one of Qt's (a size
hint, a close event) and Python had called Qt in between, the bindings keep it
until that call returns.  If another such method runs before that, the error
comes up there, is lost, and what it held is freed once too often: the process
ends with a segmentation fault some time later, on every Python.  So events
and size hints let no error out: it goes to the hook at once, and Qt gets the
answer that it would have given by itself.

Besides, Python 3.11 lets an error that was raised in C (`1 / 0`, `int("x")`)
travel as a type and a text until somebody catches it, and the bindings take
the text for the error itself.  From 3.12 on errors always travel whole.  So on
3.11 every other method of that kind catches what leaves it and lets it go on,
whole.

Seen with PySide6 6.11.3 and 6.12.0; tests show that both are still needed.
"""

from __future__ import annotations

import sys
from collections.abc import Callable
from functools import cache, wraps
from types import FunctionType
from typing import Any

from PySide6.QtCore import QMetaMethod, QMetaObject, QObject

TRAVEL_AS_TEXT = sys.version_info < (3, 12)
_OF_QT = ("method_descriptor", "builtin_function_or_method")
_ANSWERED = ("Event", "event", "eventFilter", "Hint", "heightForWidth")  # how their names end


def keep_errors_whole() -> None:
    """For every class under QObject that is made from now on."""
    if "__init_subclass__" not in vars(QObject):
        QObject.__init_subclass__ = classmethod(_made)  # type: ignore[assignment]


def _made(cls: type[QObject], /, **more: Any) -> None:
    super(QObject, cls).__init_subclass__(**more)
    slots = _slots(cls)
    for name, method in list(vars(cls).items()):
        if isinstance(method, FunctionType) and name not in slots and _stands_in(cls, name):
            if name.endswith(_ANSWERED):
                setattr(cls, name, _answered(cls, name, method))
            elif TRAVEL_AS_TEXT:
                setattr(cls, name, _whole(method))


def _slots(cls: type) -> frozenset[str]:
    """What signals may be connected to: there the bindings look at how many arguments a method takes."""
    return _slots_of(next(each for each in cls.__mro__[1:] if each.__module__.startswith("PySide6")))


@cache
def _slots_of(qt_class: type) -> frozenset[str]:
    about: QMetaObject = qt_class.staticMetaObject  # type: ignore[attr-defined]
    methods = [about.method(at) for at in range(about.methodCount())]
    slot = QMetaMethod.MethodType.Slot
    return frozenset(bytes(each.name().data()).decode() for each in methods if each.methodType() is slot)


def _stands_in(cls: type, name: str) -> bool:
    return not name.startswith("__") and any(
        type(vars(base).get(name)).__name__ in _OF_QT for base in cls.__mro__[1:]
    )


def _answered(cls: type[QObject], name: str, method: Callable[..., Any]) -> Callable[..., Any]:
    @wraps(method)
    def called(self: QObject, *args: Any, **named: Any) -> Any:
        try:
            return method(self, *args, **named)
        except Exception as error:  # noqa: BLE001 - whatever it is, the hook is told
            sys.excepthook(type(error), error, error.__traceback__)
        return getattr(super(cls, self), name)(*args, **named)

    return called


def _whole(method: Callable[..., Any]) -> Callable[..., Any]:
    @wraps(method)
    def called(*args: Any, **named: Any) -> Any:
        try:
            return method(*args, **named)
        except BaseException:  # caught, it is an object; and then it goes on
            raise

    return called
