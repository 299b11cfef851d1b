"""Positions as a client counts them, and edits as a client applies them."""

from lsprotocol import types as t

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
