"""Values, explanations and completions, for three editors that count columns in three ways."""

import asyncio

import pytest
from lsprotocol import types as t
from pytest_lsp import LanguageClient

from support import apply, index, open_document, position, span

CELLAR_URI = "file:///nowhere/cellar.gyle"
CELLAR = """# 🌾 é
malt "Größer 🌾 malt"
  extract             81 %
  colour              5 EBC
"""

URI = "file:///nowhere/values.gyle"
TEXT = """use "cellar.gyle" # 🌾
recipe "Bière 🍺" # é 🍺
  batch     20 L
  brewhouse shed
grist
  4 kg      größer 🌾 malt # 🌾
boil 60 min
  25 g      "Größe 🌾" [alpha 4.6 %] at 60 min # 🌾
expect
  # 🌾
  ibu       10..30
brewhouse shed
  mash efficiency     75 %
  evaporation         3 L/h
hop "Größe 🌾"
  alpha               5 %
"""
DOCUMENT = t.TextDocumentIdentifier(URI)
ALL = t.Range(t.Position(0, 0), t.Position(99, 0))


@pytest.fixture
def opened(client: LanguageClient) -> LanguageClient:
    open_document(client, CELLAR_URI, CELLAR)
    open_document(client, URI, TEXT)
    return client


def label(hint: t.InlayHint) -> str:
    return hint.label if isinstance(hint.label, str) else "".join(part.value for part in hint.label)


def line_end(text: str, piece: str, encoding: str) -> t.Position:
    """The end of the line of a piece."""
    return position(text, text.index("\n", text.index(piece)), encoding)


async def test_values_stand_at_the_ends_of_lines(opened: LanguageClient):
    hints = await opened.text_document_inlay_hint_async(t.InlayHintParams(DOCUMENT, ALL))
    at = {}
    for hint in hints:
        at.setdefault((hint.position.line, hint.position.character), []).append(hint)

    def beside(piece: str) -> str:
        where = line_end(TEXT, piece, opened.encoding)
        return "".join(map(label, at[where.line, where.character]))

    assert beside("recipe").endswith(" EBC") and " IBU, " in beside("recipe")
    assert "kg of extract, 100 % of the colour" in beside("4 kg")
    assert beside("25 g").endswith(" IBU")
    malt = line_end(TEXT, "4 kg", opened.encoding)
    one = at[malt.line, malt.character][0]
    assert one.label[0].location.uri == CELLAR_URI
    assert one.label[0].location.range == span(CELLAR, "Größer 🌾 malt", opened.encoding)
    assert one.tooltip is None
    resolved = await opened.inlay_hint_resolve_async(one)
    assert "kg" in resolved.tooltip.value
    only = await opened.text_document_inlay_hint_async(
        t.InlayHintParams(DOCUMENT, t.Range(t.Position(malt.line, 0), t.Position(malt.line + 1, 0)))
    )
    assert {hint.position.line for hint in only} == {malt.line}


async def test_hover_explains_what_it_stands_on(opened: LanguageClient):
    async def hover(piece: str) -> tuple[str, t.Range]:
        where = position(TEXT, TEXT.index(piece) + 1, opened.encoding)
        found = await opened.text_document_hover_async(t.HoverParams(DOCUMENT, where))
        return found.contents.value, found.range

    text, where = await hover("größer 🌾 malt")
    assert "81" in text and "cellar.gyle" in text
    assert where == span(TEXT, "größer 🌾 malt", opened.encoding)
    text, where = await hover("25 g")
    assert "oz" in text and where == span(TEXT, "25 g", opened.encoding)
    text, _ = await hover("ibu ")
    assert "IBU" in text


async def test_completions_replace_the_name_from_its_first_word(opened: LanguageClient):
    where = position(TEXT, TEXT.index("größer 🌾 malt") + len("größer 🌾 m"), opened.encoding)
    found = await opened.text_document_completion_async(t.CompletionParams(DOCUMENT, where))
    items = found.items if isinstance(found, t.CompletionList) else found
    [malt] = [item for item in items if item.label == "Größer 🌾 malt"]
    assert not any(item.preselect for item in items)
    edit = malt.text_edit
    replaced = edit.replace if isinstance(edit, t.InsertReplaceEdit) else edit.range
    start = index(TEXT, replaced.start, opened.encoding)
    assert TEXT[start : index(TEXT, replaced.end, opened.encoding)] == "größer 🌾 m"
    assert edit.new_text == "Größer 🌾 malt"
    unit = position(TEXT, TEXT.index(" min # 🌾") + 1, opened.encoding)
    found = await opened.text_document_completion_async(t.CompletionParams(DOCUMENT, unit))
    items = found.items if isinstance(found, t.CompletionList) else found
    assert items[0].label == "min"


async def test_a_line_is_formatted_when_it_ends(opened: LanguageClient):
    ragged = TEXT.replace('  25 g      "Größe 🌾" [alpha', '  25 g  "Größe 🌾"   [alpha').replace("60 min # 🌾", "60 min # 🌾\n")
    change = t.TextDocumentContentChangeWholeDocument(text=ragged)
    opened.text_document_did_change(
        t.DidChangeTextDocumentParams(t.VersionedTextDocumentIdentifier(version=2, uri=URI), [change])
    )
    line = ragged[: ragged.index("  25 g")].count("\n")
    options = t.FormattingOptions(tab_size=2, insert_spaces=True)
    params = t.DocumentOnTypeFormattingParams(DOCUMENT, t.Position(line + 1, 0), "\n", options)
    edits = await opened.text_document_on_type_formatting_async(params)
    assert edits and {edit.range.start.line for edit in edits} == {line}
    mended = apply(ragged, edits, opened.encoding)
    assert '"Größe 🌾" [alpha 4.6 %] at 60 min  # 🌾\n' in mended


async def test_all_files_are_asked_for_at_once(opened: LanguageClient):
    if not opened.advertised.diagnostic_provider:
        pytest.skip("this client is told")
    broken = TEXT.replace("4.6 %", "4,6 %")
    change = t.TextDocumentContentChangeWholeDocument(text=broken)
    opened.text_document_did_change(
        t.DidChangeTextDocumentParams(t.VersionedTextDocumentIdentifier(version=2, uri=URI), [change])
    )
    report = await opened.workspace_diagnostic_async(t.WorkspaceDiagnosticParams(previous_result_ids=[]))
    by_uri = {item.uri: item for item in report.items}
    assert CELLAR_URI in by_uri
    [comma] = [one for one in by_uri[URI].items if one.code == "decimal-comma"]
    assert comma.range == span(broken, "4,6", opened.encoding)


async def test_settings_count_without_a_restart(opened: LanguageClient):
    before = await opened.text_document_inlay_hint_async(t.InlayHintParams(DOCUMENT, ALL))
    assert before
    settings = {"gyle": {"hints": {"enabled": False}}}
    opened.set_configuration(settings["gyle"], section="gyle")
    opened.workspace_did_change_configuration(t.DidChangeConfigurationParams(settings=settings))
    for _ in range(100):
        after = await opened.text_document_inlay_hint_async(t.InlayHintParams(DOCUMENT, ALL))
        if not after:
            break
        await asyncio.sleep(0.05)
    assert not after
