"""Every text of the program that can be translated, for translators.

python -m tests.texts OUT.ts           a fresh file for a new language
python -m tests.texts OUT.ts OLD.ts    the same with what OLD.ts has translated already
python -m tests.texts --check FILE.ts  what is missing, out of date or cannot be filled in

Texts come from three places: `tr(...)` in the window, `say(...)` and troubles
wherever they are said, and the tables in `resources`.  What counts has as many
forms as the language needs, and its number is %n.  The file is the one of Qt's
own tools, so it opens in their editor.
"""

from __future__ import annotations

import ast
import sys
import tomllib
import xml.etree.ElementTree as ElementTree
from collections.abc import Iterable, Iterator
from dataclasses import dataclass, replace
from functools import cache
from pathlib import Path

from workbench.core.wording import numerus
from workbench.ui.language import Message, Texts, forms_of, read_texts

ROOT = Path(__file__).resolve().parents[1]
PACKAGE, RESOURCES = ROOT / "workbench", ROOT / "resources"
CORE = "core"  # the context of whatever the core says

# fields of the tables that are shown as words; names of materials and oils stay as the trade writes them
FIELDS = {
    "alarms.toml": {"title", "bench", "watches", "cause", "consequence", "what_to_do"},
    "cautions.toml": {"hazard", "consequence", "what_to_do", "bench"},
    "faults.toml": {"name", "looks_like", "not_to_be_taken_for", "now", "cause", "change"},
    "limits.toml": {"name", "regime"},
    "steps.toml": {
        "title", "instruction", "instruction_unknown", "reason", "bench", "bench_unknown", "done_when",
        "safe_action", "timer_says",
    },
}  # fmt: skip
LABELS = {"steps.toml": "needs"}  # tables of which every value is shown
ONE = "_one"  # at the end of a field: its text for a count of one, in English only


@dataclass(frozen=True, slots=True)
class Found:
    """Messages, and calls that carry no literal text and so cannot be extracted."""

    messages: tuple[Message, ...]
    hidden: tuple[str, ...]


def _literals(node: ast.expr) -> list[str] | None:
    """The text or, where one of several is chosen on the spot, all of them; None where it is none."""
    if isinstance(node, ast.Constant) and isinstance(node.value, str):
        return [node.value]
    if isinstance(node, ast.IfExp):
        one, other = _literals(node.body), _literals(node.orelse)
        return None if one is None or other is None else one + other
    return None


class _Reader(ast.NodeVisitor):
    """Walks one module; `wrappers` are functions that only hand a text on to the translator."""

    def __init__(self, path: Path, tree: ast.Module, wrappers: dict[str, str]) -> None:
        self.path, self.wrappers = path, wrappers
        self.messages: list[Message] = []
        self.hidden: list[str] = []
        self.says = _imports_say(tree)  # elsewhere the name may stand for the writer of the window
        self._classes: list[str] = []
        self._functions: list[str] = []

    def visit_ClassDef(self, node: ast.ClassDef) -> None:
        self._classes.append(node.name)
        self.generic_visit(node)
        self._classes.pop()

    def visit_FunctionDef(self, node: ast.FunctionDef) -> None:
        self._functions.append(node.name)
        self.generic_visit(node)
        self._functions.pop()

    def visit_Call(self, node: ast.Call) -> None:
        name, owner = _called(node)
        if name == "tr" and owner is not None:
            self._take(node, 0, self._classes[-1] if self._classes else self.path.stem)
        elif name == "translate" and owner == "QCoreApplication":
            if _literals(node.args[1]) is not None:
                context = (_literals(node.args[0]) or [self.path.stem])[0]
                self._take(node, 1, context)
        elif owner is None and name in self.wrappers and name not in self._functions:
            self._take(node, 0, self.wrappers[name])
        elif name == "say" and owner is None and self.says:
            self._said(node)
        elif name in ("Trouble", "StoreTrouble", "Refused") and node.args:
            for text in _literals(node.args[0]) or ():
                self.messages.append(Message(CORE, text))
        elif name == "Fault" and len(node.args) > 1:
            for text in _literals(node.args[1]) or ():
                self.messages.append(Message(CORE, text))
        self.generic_visit(node)

    def _take(self, node: ast.Call, at: int, context: str) -> None:
        texts = _literals(node.args[at]) if len(node.args) > at else None
        if texts is None:
            self.hidden.append(f"{self.path.relative_to(ROOT)}:{node.lineno}")
            return
        counts = len(node.args) > at + 2 or any(one.arg == "n" for one in node.keywords)
        self.messages += [Message(context, text, counts) for text in texts if text]

    def _said(self, node: ast.Call) -> None:
        """A sentence; with a second text it counts, and the second is how English says it of one."""
        texts = _literals(node.args[0]) if node.args else None
        if texts is None:
            self.hidden.append(f"{self.path.relative_to(ROOT)}:{node.lineno}")
            return
        counts = len(node.args) > 1
        self.messages += [Message(CORE, numerus(text) if counts else text, counts) for text in texts]


def _imports_say(tree: ast.Module) -> bool:
    return any(
        isinstance(node, ast.ImportFrom)
        and node.module == "workbench.core.wording"
        and any(name.name == "say" for name in node.names)
        for node in ast.walk(tree)
    )


def _called(node: ast.Call) -> tuple[str, str | None]:
    """The name that is called, and the name before its dot, if any."""
    if isinstance(node.func, ast.Attribute):
        owner = node.func.value
        return node.func.attr, owner.id if isinstance(owner, ast.Name) else "…"
    return (node.func.id, None) if isinstance(node.func, ast.Name) else ("", None)


def _wrappers(tree: ast.Module) -> dict[str, str]:
    """Functions of a module that pass their own argument to the translator, with the context they use."""
    constants = {
        target.id: node.value.value
        for node in tree.body
        if isinstance(node, ast.Assign) and isinstance(node.value, ast.Constant)
        for target in node.targets
        if isinstance(target, ast.Name) and isinstance(node.value.value, str)
    }
    found = {}
    for node in ast.walk(tree):
        if not isinstance(node, ast.FunctionDef) or not node.args.args:
            continue
        own = node.args.args[0].arg
        for call in ast.walk(node):
            if (
                isinstance(call, ast.Call)
                and _called(call) == ("translate", "QCoreApplication")
                and isinstance(call.args[1], ast.Name)
                and call.args[1].id == own
            ):
                context = call.args[0]
                if isinstance(context, ast.Constant):
                    found[node.name] = str(context.value)
                elif isinstance(context, ast.Name) and context.id in constants:
                    found[node.name] = constants[context.id]
    return found


@cache
def from_code() -> Found:
    messages: list[Message] = []
    hidden: list[str] = []
    for path in sorted(PACKAGE.rglob("*.py")):
        if "cli" in path.relative_to(PACKAGE).parts or path.name == "cli.py":
            continue  # the terminal speaks plain English
        tree = ast.parse(path.read_text(encoding="utf-8"))
        wrappers = _wrappers(tree)
        wrappers.pop("translate", None)  # of the writer: what it is given comes from elsewhere
        reader = _Reader(path, tree, wrappers)
        reader.visit(tree)
        messages += reader.messages
        hidden += reader.hidden
        if "core" in path.relative_to(PACKAGE).parts:
            messages += [Message(CORE, word) for word in _words_of_enums(tree)]
        if reader.hidden and "ui" not in path.relative_to(PACKAGE).parts:
            messages += [Message(CORE, text) for text in _sentences(tree)]
    return Found(tuple(messages), tuple(hidden))


def _words_of_enums(tree: ast.Module) -> Iterator[str]:
    """Values of string enumerations: the window writes them as words."""
    for node in ast.walk(tree):
        if isinstance(node, ast.ClassDef) and any(
            isinstance(base, ast.Name) and base.id == "StrEnum" for base in node.bases
        ):
            for line in node.body:
                if isinstance(line, ast.Assign) and (texts := _literals(line.value)):
                    yield from (text for text in texts if any(letter.isalpha() for letter in text))


def _sentences(tree: ast.Module) -> Iterator[str]:
    """Every literal with more than one word: for a module that chooses its templates before it says them."""
    extracted = {
        id(part)
        for node in ast.walk(tree)
        if isinstance(node, ast.Call) and _called(node) == ("say", None)
        for text in node.args
        for part in ast.walk(text)
    }
    documentation = {
        id(node.body[0].value)
        for node in ast.walk(tree)
        if isinstance(node, ast.Module | ast.ClassDef | ast.FunctionDef)
        and node.body
        and isinstance(node.body[0], ast.Expr)
    }
    aside = extracted | documentation
    for node in ast.walk(tree):
        if isinstance(node, ast.Constant) and isinstance(node.value, str) and id(node) not in aside:
            text = node.value
            if " " in text.strip() and any(letter.isalpha() for letter in text) and len(text) > 6:
                yield text


def from_tables() -> tuple[Message, ...]:
    found: list[Message] = []
    for name, fields in FIELDS.items():
        path = RESOURCES / name
        if path.is_file():
            table = tomllib.loads(path.read_text(encoding="utf-8"))
            found += _shown(table, fields, LABELS.get(name, ""))
    return tuple(found)


def _shown(
    value: object, fields: set[str], labels: str, key: str = "", counts: bool = False
) -> Iterator[Message]:
    if isinstance(value, dict):
        for name, below in value.items():
            inside = fields | set(below) if name == labels and isinstance(below, dict) else fields
            yield from _shown(below, inside, labels, name, name + ONE in value)
    elif isinstance(value, list):
        for below in value:
            yield from _shown(below, fields, labels, key)
    elif isinstance(value, str) and key in fields:
        yield Message(CORE, numerus(value) if counts else value, counts)


def messages() -> tuple[Message, ...]:
    """Each once, by context and text."""
    held: dict[tuple[str, str], Message] = {}
    for one in (*from_code().messages, *from_tables()):
        known = held.get((one.context, one.source))
        if known is None or (one.counts and not known.counts):
            held[one.context, one.source] = one
    return tuple(held[key] for key in sorted(held))


def write(path: Path, language: str, wanted: Iterable[Message]) -> None:
    """A .ts file; a message without forms is marked as not translated yet."""
    root = ElementTree.Element("TS", version="2.1", language=language, sourcelanguage="en")
    contexts: dict[str, ElementTree.Element] = {}
    for one in wanted:
        if one.context not in contexts:
            contexts[one.context] = ElementTree.SubElement(root, "context")
            ElementTree.SubElement(contexts[one.context], "name").text = one.context
        message = ElementTree.SubElement(contexts[one.context], "message")
        if one.counts:
            message.set("numerus", "yes")
        ElementTree.SubElement(message, "source").text = one.source
        translation = ElementTree.SubElement(message, "translation")
        if not one.forms:
            translation.set("type", "unfinished")
        if one.counts:
            for form in one.forms or ("",) * forms_of(language):
                ElementTree.SubElement(translation, "numerusform").text = form
        else:
            translation.text = one.forms[0] if one.forms else ""
    ElementTree.indent(root, " ")
    text = ElementTree.tostring(root, encoding="unicode")
    path.write_text(f'<?xml version="1.0" encoding="utf-8"?>\n<!DOCTYPE TS>\n{text}\n', encoding="utf-8")


def with_old(fresh: Iterable[Message], old: Texts) -> tuple[Message, ...]:
    held = {(one.context, one.source): one.forms for one in old.messages}
    anywhere = {one.source: one.forms for one in old.messages if one.forms}
    return tuple(
        replace(one, forms=held.get((one.context, one.source)) or anywhere.get(one.source, ()))
        for one in fresh
    )


def faults(texts: Texts, wanted: Iterable[Message]) -> list[str]:
    """What is wrong with a translation, each in a line."""
    known = {(one.context, one.source): one for one in wanted}
    found = []
    for one in texts.messages:
        if (one.context, one.source) not in known:
            found.append(f"no longer in the program: {one.source!r}")
        elif known[one.context, one.source].counts != one.counts:
            found.append(f"counts or does not: {one.source!r}")
        elif one.counts and one.forms and len(one.forms) != forms_of(texts.language):
            found.append(f"{len(one.forms)} plural forms, not {forms_of(texts.language)}: {one.source!r}")
        elif not one.sound:
            found.append(f"other placeholders than the text: {one.source!r}")
    return found


def main(argv: list[str]) -> int:
    if len(argv) == 2 and argv[0] == "--check":
        texts = read_texts(Path(argv[1]))
        said = faults(texts, messages())
        done = {(one.context, one.source) for one in texts.messages if one.forms}
        missing = [one for one in messages() if (one.context, one.source) not in done]
        print("\n".join([*said, f"not translated: {len(missing)} of {len(messages())}"]))
        return 1 if said else 0
    if not argv or argv[0].startswith("-") or len(argv) > 2:
        print(__doc__)
        return 2
    out, wanted = Path(argv[0]), messages()
    if len(argv) == 2:
        wanted = with_old(wanted, read_texts(Path(argv[1])))
    write(out, out.stem, wanted)
    print(f"{len(wanted)} texts, {sum(1 for one in wanted if one.forms)} of them translated: {out}")
    return 0


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
