"""How words look: tokens of three editors that count columns in three ways."""

import pytest
from lsprotocol import types as t
from pytest_lsp import LanguageClient

from support import index, open_document, position, span

URI = "file:///nowhere/biere.gyle"
TEXT = """malt "Größer 🌾 malt"
  colour              5 EBC
recipe "Bière 🍺"
  batch     20 L # 🌾 é
grist
  4 lb 2 oz größer 🌾 malt [or é 🌾 malt, colour 5..7 EBC] # 🌾
boil 60 min
  25 g      Fuggle [note 🌾, alpha 4.6 %] at 60 min
  | Größe 🌾
"""
DOCUMENT = t.TextDocumentIdentifier(URI)


@pytest.fixture
def opened(client: LanguageClient) -> LanguageClient:
    open_document(client, URI, TEXT)
    return client


def words(client: LanguageClient, data: list[int], text: str = TEXT) -> list[tuple[str, str, set[str]]]:
    """Each token as its words, type and modifiers."""
    legend = client.advertised.semantic_tokens_provider.legend
    found = []
    line = column = 0
    for at in range(0, len(data), 5):
        down, across, length, kind, bits = data[at : at + 5]
        line, column = line + down, across if down else column + across
        start = index(text, t.Position(line, column), client.encoding)
        end = index(text, t.Position(line, column + length), client.encoding)
        modifiers = {name for bit, name in enumerate(legend.token_modifiers) if bits >> bit & 1}
        found.append((text[start:end], legend.token_types[kind], modifiers))
    return found


async def test_tokens_are_words(opened: LanguageClient):
    tokens = await opened.text_document_semantic_tokens_full_async(t.SemanticTokensParams(DOCUMENT))
    seen = words(opened, tokens.data)
    for wanted in [
        ("recipe", "keyword", set()),
        ('"Bière 🍺"', "string", set()),
        ("batch", "function", {"defaultLibrary"}),
        ("# 🌾 é", "comment", set()),
        ("2", "number", set()),
        ("oz", "type", set()),
        ("größer 🌾 malt", "class", set()),
        ("or", "property", set()),
        ("é 🌾 malt", "variable", set()),
        ("..", "operator", set()),
        ("Fuggle", "interface", {"defaultLibrary"}),
        ("alpha", "property", set()),
        ("at", "operator", set()),
        ("| Größe 🌾", "string", {"documentation"}),
    ]:
        assert wanted in seen, seen
    assert opened.advertised.semantic_tokens_provider.full.delta


async def test_tokens_of_a_range_are_among_those_of_the_file(opened: LanguageClient):
    whole = await opened.text_document_semantic_tokens_full_async(t.SemanticTokensParams(DOCUMENT))
    where = span(TEXT, "größer 🌾 malt [or é 🌾 malt", opened.encoding)
    part = await opened.text_document_semantic_tokens_range_async(t.SemanticTokensRangeParams(DOCUMENT, where))
    seen, all_of = words(opened, part.data), words(opened, whole.data)
    assert [one[0] for one in seen if one[1] == "class"] == ["größer 🌾 malt"]
    first = next(at for at in range(len(all_of)) if all_of[at : at + len(seen)] == seen)
    assert first > 0 and len(seen) < len(all_of)


async def test_a_delta_makes_the_new_tokens_of_the_old(opened: LanguageClient):
    before = await opened.text_document_semantic_tokens_full_async(t.SemanticTokensParams(DOCUMENT))
    at = position(TEXT, TEXT.index("é 🌾 malt"), opened.encoding)
    inserted = "Fuggle 🌾, or "
    change = t.TextDocumentContentChangePartial(range=t.Range(at, at), text=inserted)
    opened.text_document_did_change(
        t.DidChangeTextDocumentParams(t.VersionedTextDocumentIdentifier(version=2, uri=URI), [change])
    )
    changed = TEXT.replace("é 🌾 malt", inserted + "é 🌾 malt")
    params = t.SemanticTokensDeltaParams(DOCUMENT, before.result_id)
    delta = await opened.text_document_semantic_tokens_full_delta_async(params)
    data = list(before.data)
    for edit in sorted(delta.edits, key=lambda edit: -edit.start):
        data[edit.start : edit.start + edit.delete_count] = edit.data or []
    fresh = await opened.text_document_semantic_tokens_full_async(t.SemanticTokensParams(DOCUMENT))
    assert data == fresh.data and len(delta.edits) == 1
    assert ("Fuggle 🌾", "variable", set()) in words(opened, data, changed)
    stale = await opened.text_document_semantic_tokens_full_delta_async(params)
    assert list(stale.data) == data, "of an older result all is given"
