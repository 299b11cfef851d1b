"""What stands beside and above words, for three editors that count columns in three ways."""

import asyncio

import pytest
from lsprotocol import types as t
from pygls.exceptions import JsonRpcException
from pytest_lsp import LanguageClient

from support import apply, edits_of, index, open_document, position, span

URI = "file:///nowhere/biere.gyle"
TEXT = """malt "Größer 🌾 malt"
  colour              5 EBC
  extract             81 %
brewhouse shed
  mash efficiency     75 %
  evaporation         3 L/h
recipe "Bière 🍺"
  batch     20 L # 🌾 é
  brewhouse shed
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
    assert data == list(fresh.data) and len(delta.edits) == 1
    assert ("Fuggle 🌾", "variable", set()) in words(opened, data, changed)
    stale = await opened.text_document_semantic_tokens_full_delta_async(params)
    assert list(stale.data) == data, "of an older result all is given"


async def test_beer_and_malt_have_their_colour(opened: LanguageClient):
    colours = await opened.text_document_document_color_async(t.DocumentColorParams(DOCUMENT))
    by_place = {(one.range.start.line, one.range.start.character): one for one in colours}
    malt = span(TEXT, "größer 🌾 malt", opened.encoding)
    beer = span(TEXT, "Bière 🍺", opened.encoding)
    assert [one.range for one in colours] == [beer, malt]
    pale = by_place[malt.start.line, malt.start.character].color
    # The published table of the spectrum has 244, 209, 128 at 2 SRM and 238, 189, 85 at 3; 5.0..7.0 EBC is 3.05.
    assert 0.8 < pale.red < 1 and pale.green < pale.red and pale.blue < pale.green and pale.alpha == 1
    params = t.ColorPresentationParams(DOCUMENT, t.Color(1.0, 0.0, 0.0, 1.0), malt)
    [shown] = await opened.text_document_color_presentation_async(params)
    assert shown.label.endswith(" EBC")
    assert shown.text_edit.range == malt and shown.text_edit.new_text == "größer 🌾 malt"


async def test_the_form_of_a_line_has_its_part_in_hand(opened: LanguageClient):
    async def part(index_of: int) -> tuple[str, str]:
        where = position(TEXT, index_of, opened.encoding)
        found = await opened.text_document_signature_help_async(t.SignatureHelpParams(DOCUMENT, where))
        [one] = found.signatures
        label = one.parameters[one.active_parameter].label
        if not isinstance(label, str):
            label = one.label.encode("utf-16-le")[label[0] * 2 : label[1] * 2].decode("utf-16-le")
        assert one.documentation
        return label, one.label

    inside, whole = await part(TEXT.index("note 🌾") + len("note 🌾"))
    assert inside == "[properties]" and "at <" in whole
    behind, _ = await part(TEXT.index("] at 60 min") + len("] at 60"))
    assert behind.startswith("at <")


LOG_URI = "file:///nowhere/27.gyle"
LOG = """use "biere.gyle" # 🌾
gyle 27 "Bière 🍺" on 2026-03-14
  10:05 add 4 lb größer 🌾 malt to mash
tasting on 2026-04-11
  next less 🌾, more Größe
"""


async def test_lenses_say_who_uses_and_what_was_asked_for(opened: LanguageClient):
    open_document(opened, LOG_URI, LOG)
    lenses = await opened.text_document_code_lens_async(t.CodeLensParams(DOCUMENT))
    assert all(lens.command is None for lens in lenses)
    ranges = [lens.range for lens in lenses]
    assert ranges[0] == span(TEXT, "Größer 🌾 malt", opened.encoding)
    titles = [(await opened.code_lens_resolve_async(lens)).command.title for lens in lenses]
    assert titles == [
        "used in 1 recipe, 1 gyle",
        "used in 1 recipe",
        "the tasting of 27 on 2026-04-11 asks: less 🌾, more Größe",
    ]


async def test_a_batch_of_any_size(opened: LanguageClient):
    applied = []

    @opened.feature(t.WORKSPACE_APPLY_EDIT)
    def apply_edit(params: t.ApplyWorkspaceEditParams):
        applied.append(params)
        return t.ApplyWorkspaceEditResult(applied=True)

    if not opened.advertised.execute_command_provider:
        pytest.skip("this client applies no edits")
    where = position(TEXT, TEXT.index("# 🌾 é") + 3, opened.encoding)
    asked = {"uri": URI, "position": {"line": where.line, "character": where.character}, "batch": "50 L"}
    await opened.workspace_execute_command_async(t.ExecuteCommandParams("gyle.resizeTo", [asked]))
    for _ in range(100):
        if applied:
            break
        await asyncio.sleep(0.05)
    resized = apply(TEXT, edits_of(applied[0].edit)[URI], opened.encoding)
    assert "  batch     50 L # 🌾 é\n" in resized
    assert "größer 🌾 malt [or é 🌾 malt, colour 5..7 EBC] # 🌾\n" in resized
    for batch, why in [("50 kg", "volume"), ("much", "20 L")]:
        with pytest.raises(JsonRpcException, match=why):
            await opened.workspace_execute_command_async(t.ExecuteCommandParams("gyle.resizeTo", [{**asked, "batch": batch}]))
