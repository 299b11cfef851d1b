"""Positions as a client counts them, and edits as a client applies them."""

from lsprotocol import types as t
from pytest_lsp import LanguageClient

WIDTHS = {
    "utf-8": lambda c: len(c.encode("utf-8")),
    "utf-16": lambda c: len(c.encode("utf-16-le")) // 2,
    "utf-32": lambda c: 1,
}


def position(text: str, index: int, encoding: str) -> t.Position:
    """The position of a character of a text."""
    before = text[:index]
    line = before.rpartition("\n")[2]
    return t.Position(before.count("\n"), sum(map(WIDTHS[encoding], line)))


def span(text: str, piece: str, encoding: str) -> t.Range:
    """The range of the only place where a piece stands."""
    assert text.count(piece) == 1, piece
    start = text.index(piece)
    return t.Range(position(text, start, encoding), position(text, start + len(piece), encoding))


def index(text: str, at: t.Position, encoding: str) -> int:
    """The character at a position."""
    start = 0
    for _ in range(at.line):
        start = text.index("\n", start) + 1
    column = 0
    while column < at.character:
        column += WIDTHS[encoding](text[start])
        start += 1
    assert column == at.character, "a position inside a character"
    return start


def apply(text: str, edits: list[t.TextEdit], encoding: str) -> str:
    """The text after edits that do not overlap."""
    places = [(index(text, e.range.start, encoding), index(text, e.range.end, encoding), e.new_text) for e in edits]
    for start, end, new in sorted(places, reverse=True):
        text = text[:start] + new + text[end:]
    return text


def open_document(client: LanguageClient, uri: str, text: str) -> None:
    """Opens a document as an editor does."""
    item = t.TextDocumentItem(uri=uri, language_id="gyle", version=1, text=text)
    client.text_document_did_open(t.DidOpenTextDocumentParams(item))


def edits_of(edit: t.WorkspaceEdit) -> dict[str, list[t.TextEdit]]:
    """The edits of each document, however they are written."""
    if edit.document_changes:
        return {change.text_document.uri: list(change.edits) for change in edit.document_changes}
    return {uri: list(edits) for uri, edits in (edit.changes or {}).items()}
