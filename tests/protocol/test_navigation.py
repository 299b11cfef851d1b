"""Where things are named and used, and the shape of a file."""

import os
from urllib.parse import unquote, urlparse

import pytest
from lsprotocol import types as t
from pygls.exceptions import JsonRpcException
from pytest_lsp import LanguageClient

from support import apply, edits_of, open_document, position, span

CELLAR_URI = "file:///nowhere/cellar.gyle"
CELLAR = """# 🌾 é
malt "Größer 🌾 malt"
  alias               floor malt
  extract             81 %
"""

URI = "file:///nowhere/bitter.gyle"
TEXT = """use "cellar.gyle" # é
let größe = 20 L
recipe "Bitter 🍺"
  batch     (größe)
grist
  4 kg      größer 🌾 malt # 🌾
  250 g     Größer 🌾 malt
boil 60 min
  25 g      "Fuggle" [alpha 4.6 %, note 🌾] at 60 min
"""


@pytest.fixture
def opened(client: LanguageClient) -> LanguageClient:
    open_document(client, CELLAR_URI, CELLAR)
    open_document(client, URI, TEXT)
    return client


def at(client: LanguageClient, piece: str, text: str = TEXT) -> t.Position:
    """One character into the only place where a piece stands."""
    assert text.count(piece) == 1, piece
    return position(text, text.index(piece) + 1, client.encoding)


DOCUMENT = t.TextDocumentIdentifier(URI)


async def definition(client: LanguageClient, piece: str) -> tuple[str, t.Range]:
    found = await client.text_document_definition_async(t.DefinitionParams(DOCUMENT, at(client, piece)))
    found = found[0] if isinstance(found, (list, tuple)) else found
    if isinstance(found, t.LocationLink):
        assert found.origin_selection_range == span(TEXT, piece, client.encoding)
        return found.target_uri, found.target_selection_range
    return found.uri, found.range


async def test_definition_leads_to_the_cellar(opened: LanguageClient):
    uri, where = await definition(opened, "größer 🌾 malt")
    assert uri == CELLAR_URI
    assert where == span(CELLAR, "Größer 🌾 malt", opened.encoding)


async def test_definition_opens_the_built_in_library_read_only(opened: LanguageClient):
    uri, where = await definition(opened, "Fuggle")
    path = unquote(urlparse(uri).path)
    with open(path, encoding="utf-8") as copy:
        text = copy.read()
    assert text.splitlines()[where.start.line] == "hop Fuggle"
    assert not os.stat(path).st_mode & 0o222
    open_document(opened, uri, text)
    found = await opened.text_document_references_async(
        t.ReferenceParams(t.ReferenceContext(include_declaration=False), t.TextDocumentIdentifier(uri), where.start)
    )
    assert [(f.uri, f.range) for f in found] == [(URI, span(TEXT, "Fuggle", opened.encoding))]


async def test_references_and_highlights(opened: LanguageClient):
    params = t.ReferenceParams(t.ReferenceContext(include_declaration=True), DOCUMENT, at(opened, "größer 🌾 malt"))
    found = await opened.text_document_references_async(params)
    expected = [
        (URI, span(TEXT, "größer 🌾 malt", opened.encoding)),
        (URI, span(TEXT, "Größer 🌾 malt", opened.encoding)),
        (CELLAR_URI, span(CELLAR, "Größer 🌾 malt", opened.encoding)),
        (CELLAR_URI, span(CELLAR, "floor malt", opened.encoding)),
    ]
    key = lambda one: (one[0], one[1].start.line)
    assert sorted(((f.uri, f.range) for f in found), key=key) == sorted(expected, key=key)
    marks = await opened.text_document_document_highlight_async(
        t.DocumentHighlightParams(DOCUMENT, at(opened, "größer 🌾 malt"))
    )
    assert [m.range for m in marks] == [where for uri, where in expected if uri == URI]


async def test_renaming_goes_through_all_files(opened: LanguageClient):
    where = at(opened, "größer 🌾 malt")
    prepared = await opened.text_document_prepare_rename_async(t.PrepareRenameParams(DOCUMENT, where))
    assert prepared.range == span(TEXT, "größer 🌾 malt", opened.encoding)
    edit = await opened.text_document_rename_async(t.RenameParams(DOCUMENT, where, "Kölner 🍺 malt"))
    edits = edits_of(edit)
    assert apply(CELLAR, edits[CELLAR_URI], opened.encoding) == CELLAR.replace("Größer 🌾 malt", "Kölner 🍺 malt")
    changed = TEXT.replace("größer 🌾 malt", "Kölner 🍺 malt").replace("Größer 🌾 malt", "Kölner 🍺 malt")
    assert apply(TEXT, edits[URI], opened.encoding) == changed
    with pytest.raises(JsonRpcException, match="built-in library"):
        await opened.text_document_prepare_rename_async(t.PrepareRenameParams(DOCUMENT, at(opened, "Fuggle")))


async def test_outline_and_symbols_of_all_files(opened: LanguageClient):
    outline = await opened.text_document_document_symbol_async(t.DocumentSymbolParams(DOCUMENT))
    recipe = next(one for one in outline if one.name == "Bitter 🍺")
    if isinstance(recipe, t.DocumentSymbol):
        assert recipe.selection_range == span(TEXT, "Bitter 🍺", opened.encoding)
        assert [child.name for child in recipe.children] == ["grist", "boil"]
    else:
        assert recipe.location.range.start == t.Position(2, 0)
    found = await opened.workspace_symbol_async(t.WorkspaceSymbolParams("grosser"))
    assert [(f.location.uri, f.location.range) for f in found] == [
        (CELLAR_URI, span(CELLAR, "Größer 🌾 malt", opened.encoding))
    ]


async def test_links_folding_and_selections(opened: LanguageClient):
    links = await opened.text_document_document_link_async(t.DocumentLinkParams(DOCUMENT))
    assert [(link.target, link.range) for link in links] == [(CELLAR_URI, span(TEXT, "cellar.gyle", opened.encoding))]
    folds = await opened.text_document_folding_range_async(t.FoldingRangeParams(DOCUMENT))
    assert [(fold.start_line, fold.end_line) for fold in folds] == [(2, 8), (4, 6), (7, 8)]
    clause = span(TEXT, "at 60 min", opened.encoding)
    params = t.SelectionRangeParams(DOCUMENT, [t.Position(0, 0), clause.end])
    grown = await opened.text_document_selection_range_async(params)
    assert grown[1].range == t.Range(position(TEXT, TEXT.rindex("60 min"), opened.encoding), clause.end)
    assert grown[1].parent.range == clause
    widths = []
    one = grown[1]
    while one:
        widths.append((one.range.start.line, one.range.end.line))
        one = one.parent
    assert widths[-1] == (0, 9) and (7, 8) in widths and (2, 8) in widths


async def test_paths_follow_files_that_move(opened: LanguageClient):
    moved = t.FileRename(CELLAR_URI, "file:///nowhere/größe/malts.gyle")
    edit = await opened.workspace_will_rename_files_async(t.RenameFilesParams([moved]))
    assert apply(TEXT, edits_of(edit)[URI], opened.encoding) == TEXT.replace("cellar.gyle", "größe/malts.gyle")
