"""Sessions of three recorded editors, which count columns in three ways.

Before every column that is asserted there is a character that the three count differently.
"""

import asyncio

from lsprotocol import types as t
from pytest_lsp import LanguageClient

from support import apply, open_document, position, span

URI = "file:///nowhere/bitter.gyle"
TEXT = """recipe "Bitter"
  batch     20 L
boil 60 min
  25 g      "Größe 🌾" [4,5 %]  at   60 min
  15 g      Golding [5 %] at 15 min
"""


def open_text(client: LanguageClient, text: str = TEXT, uri: str = URI) -> None:
    open_document(client, uri, text)


async def found(client: LanguageClient, version: int, uri: str = URI) -> list[t.Diagnostic]:
    """Diagnostics, pulled where this is advertised, else waited for."""
    if client.advertised.diagnostic_provider:
        params = t.DocumentDiagnosticParams(t.TextDocumentIdentifier(uri))
        report = await client.text_document_diagnostic_async(params)
        assert uri not in client.diagnostics, "pushed as well as pulled"
        return list(report.items)
    while True:
        await asyncio.wait_for(client.wait_for_notification(t.TEXT_DOCUMENT_PUBLISH_DIAGNOSTICS), 10)
        if uri in client.diagnostics:
            return list(client.diagnostics[uri])


def by_code(diagnostics: list[t.Diagnostic]) -> dict[str, t.Diagnostic]:
    return {d.code: d for d in diagnostics}


async def test_diagnostics_stand_where_the_client_counts(client: LanguageClient):
    open_text(client)
    one = by_code(await found(client, 1))
    assert one["decimal-comma"].range == span(TEXT, "4,5", client.encoding)
    assert one["decimal-comma"].source == "gyle"
    assert one["unknown-reference"].range.start.line == 3


async def test_edits_beyond_the_basic_plane_keep_the_text(client: LanguageClient):
    open_text(client)
    await found(client, 1)
    comma = TEXT.index("4,5") + 1
    changes = [
        t.TextDocumentContentChangePartial(
            range=t.Range(position(TEXT, comma, client.encoding), position(TEXT, comma + 1, client.encoding)), text="."
        )
    ]
    mended = TEXT.replace("4,5", "4.5")
    blank = mended.index("🌾") + 1
    at = position(mended, blank, client.encoding)
    changes.append(t.TextDocumentContentChangePartial(range=t.Range(at, at), text=" 🍺é"))
    expected = mended.replace("🌾", "🌾 🍺é")
    client.text_document_did_change(
        t.DidChangeTextDocumentParams(t.VersionedTextDocumentIdentifier(version=2, uri=URI), changes)
    )
    one = by_code(await found(client, 2))
    assert "decimal-comma" not in one
    unknown = one["unknown-reference"].range
    assert unknown.end == position(expected, expected.index('🍺é"') + 2, client.encoding) or unknown.end == position(
        expected, expected.index('🍺é"') + 3, client.encoding
    )


async def test_quick_fix_mends_the_text(client: LanguageClient):
    open_text(client)
    await found(client, 1)
    params = t.CodeActionParams(
        t.TextDocumentIdentifier(URI),
        span(TEXT, "4,5", client.encoding),
        t.CodeActionContext(diagnostics=[], only=[t.CodeActionKind.QuickFix]),
    )
    actions = await client.text_document_code_action_async(params)
    fixes = [a for a in actions if a.diagnostics and a.diagnostics[0].code == "decimal-comma"]
    edit = fixes[0].edit
    edits = edit.document_changes[0].edits if edit.document_changes else edit.changes[URI]
    assert apply(TEXT, edits, client.encoding) == TEXT.replace("4,5", "4.5")


async def test_formatting_changes_only_what_it_must(client: LanguageClient):
    open_text(client)
    options = t.FormattingOptions(tab_size=2, insert_spaces=True)
    params = t.DocumentFormattingParams(t.TextDocumentIdentifier(URI), options)
    text = TEXT.replace("4,5", "4.5")
    whole = t.TextDocumentContentChangeWholeDocument(text=text)
    client.text_document_did_change(
        t.DidChangeTextDocumentParams(t.VersionedTextDocumentIdentifier(version=2, uri=URI), [whole])
    )
    edits = await client.text_document_formatting_async(params)
    assert edits and {e.range.start.line for e in edits} == {3}
    assert apply(text, edits, client.encoding) == text.replace("]  at   60", "] at 60")
    inside = t.Range(t.Position(4, 0), t.Position(5, 0))
    ranged = await client.text_document_range_formatting_async(
        t.DocumentRangeFormattingParams(t.TextDocumentIdentifier(URI), inside, options)
    )
    assert list(ranged) == []


async def test_an_untitled_buffer_is_served(client: LanguageClient):
    uri = "untitled:Untitled-1"
    open_text(client, uri=uri)
    assert "decimal-comma" in by_code(await found(client, 1, uri))


async def test_closing_takes_the_diagnostics_away(client: LanguageClient):
    if client.advertised.diagnostic_provider:
        return
    open_text(client)
    await found(client, 1)
    client.text_document_did_close(t.DidCloseTextDocumentParams(t.TextDocumentIdentifier(URI)))
    await asyncio.wait_for(client.wait_for_notification(t.TEXT_DOCUMENT_PUBLISH_DIAGNOSTICS), 10)
    assert list(client.diagnostics[URI]) == []


ACTIONS = """recipe "Größe"
  batch     20 L
grist
  4 kg      pale ale malt
boil 60 min
  "Größe 🌾" [5 %] at 60 min to reach 30 IBU
hop "Größe 🌾"
  alpha     5 %
"""


async def chosen(client: LanguageClient, text: str, piece: str, title: str, only=None) -> t.CodeAction:
    """The action of this title at a piece of the text, with its edit."""
    at = t.Range(span(text, piece, client.encoding).start, span(text, piece, client.encoding).start)
    context = t.CodeActionContext(diagnostics=[], only=only)
    params = t.CodeActionParams(t.TextDocumentIdentifier(URI), at, context)
    actions = await client.text_document_code_action_async(params)
    action = next(a for a in actions if a.title == title)
    if action.edit is None:
        assert client.advertised.code_action_provider.resolve_provider
        action = await client.code_action_resolve_async(action)
    return action


def edits_of(action: t.CodeAction, uri: str = URI) -> list[t.TextEdit]:
    edit = action.edit
    if edit.document_changes:
        return [e for change in edit.document_changes if getattr(change, "text_document", None) and change.text_document.uri == uri for e in change.edits]
    return edit.changes[uri]


async def test_a_computed_amount_is_written_in(client: LanguageClient):
    open_text(client, ACTIONS)
    action = await chosen(client, ACTIONS, "to reach", "Write the computed amount in")
    after = apply(ACTIONS, edits_of(action), client.encoding)
    line = next(line for line in after.splitlines() if "[5 %]" in line)
    amount, rest = line.split(" g ")
    assert 20 < float(amount) < 100 and rest.strip() == '"Größe 🌾" [5 %] at 60 min'


async def test_a_recipe_is_resized(client: LanguageClient):
    text = ACTIONS.replace("20 L", "20 L  # für 🌾")
    open_text(client, text)
    title = "Resize to 10.0 L, keeping gravity, bitterness, colour and water"
    action = await chosen(client, text, "# für", title)
    after = apply(text, edits_of(action), client.encoding)
    assert "  batch     10 L  # für 🌾\n" in after and "  2 kg      pale ale malt\n" in after


async def test_measures_are_converted_and_percentages_made(client: LanguageClient):
    text = ACTIONS.replace('"Größe 🌾" [5 %] at 60 min to reach 30 IBU', '20 g      "Größe 🌾" [stored 5 C] at 60 min')
    open_text(client, text)
    action = await chosen(client, text, "at 60 min", "Write this line in US customary units")
    after = apply(text, edits_of(action), client.encoding)
    assert '  0.7055 oz "Größe 🌾" [stored 41 F] at 60 min\n' in after
    action = await chosen(client, text, "pale ale", "Write the grist in percentages")
    after = apply(text, edits_of(action), client.encoding)
    assert "grist to reach 1.0" in after and "  100 %     pale ale malt\n" in after
    source = [t.CodeActionKind.Source]
    action = await chosen(client, text, "pale ale", "Write this file in US customary units", source)
    after = apply(text, edits_of(action), client.encoding)
    assert '"Größe"\n  customary us\n  batch     5.283 gal\n' in after and "  8.818 lb  pale ale malt\n" in after


async def test_every_safe_fix_at_once(client: LanguageClient):
    text = TEXT.replace("4,5", "4.5").replace("  batch     20 L", '  batch     20 L  # "Größe 🌾"\nbatch 21 L')
    open_text(client, text)
    await found(client, 1)
    only = [t.CodeActionKind.SourceFixAll]
    action = await chosen(client, text, "recipe", "Apply every safe fix of this file", only)
    after = apply(text, edits_of(action), client.encoding)
    assert "\n  batch 21 L" in after or "\n  batch     21 L" in after


async def test_doses_are_solved(client: LanguageClient):
    text = """recipe "Größe 🌾"
  batch     20 L
grist
  4 kg      pale ale malt
liquor
  source    "Größe 🌾"
  match     "Süß 🌾"
  mash      12 L
  sparge    18 L
  add       1 mL "lactic acid" [88 %] to mash  # für 🌾
boil 60 min
  20 g      "Größe 🌾" [5 %] at 60 min
expect
  ibu       25..35
water "Größe 🌾"
  calcium   40 ppm
  alkalinity  90 ppm as CaCO3
water "Süß 🌾"
  calcium   90 ppm
  sulfate   100 ppm
hop "Größe 🌾"
  alpha     5 %
"""
    open_text(client, text)
    for piece, title, start, end in [
        ("# für", "Dose lactic acid for a mash pH of 5.40", "  add ", 'mL "lactic acid" [88 %] to mash  # für 🌾'),
        ("at 60 min", "Take Größe 🌾 for 30 IBU in all, as expected", "  ", ' "Größe 🌾" [5 %] at 60 min'),
        ('"Süß 🌾"\n  mash', "Dose salts for Süß 🌾", "  add ", " gypsum to all"),
    ]:
        action = await chosen(client, text, piece, title)
        after = apply(text, edits_of(action), client.encoding)
        new = [line for line in after.splitlines() if line not in text.splitlines()]
        assert any(line.startswith(start) and line.endswith(end) for line in new), new


async def test_another_ingredient_is_taken(client: LanguageClient):
    text = ACTIONS.replace("[5 %] at 60 min to reach 30 IBU", "[5 %, or Stärker 🌾] at 60 min").replace('  "', '  20 g  "', 1)
    text += 'hop "Stärker 🌾"\n  alpha     10 %\n'
    open_text(client, text)
    action = await chosen(client, text, "at 60 min", "Take Stärker 🌾 in its place, keeping bitterness")
    after = apply(text, edits_of(action), client.encoding)
    line = next(line for line in after.splitlines() if "at 60 min" in line)
    assert line.endswith("Stärker 🌾 at 60 min") and line.split()[0] in {"10", "9.9"}, line


async def test_stamps_are_written(client: LanguageClient):
    open_text(client, ACTIONS)
    source = [t.CodeActionKind.Source]
    title = "Stamp the recipes of this file with their figures"
    action = await chosen(client, ACTIONS, "[5 %]", title, source)
    after = apply(ACTIONS, edits_of(action), client.encoding)
    assert after.startswith('recipe "Größe"  #= og 1.0')
    assert "to reach 30 IBU  #= 30 IBU\n" in after


async def test_a_log_and_the_cellar(client: LanguageClient, tmp_path):
    (tmp_path / "gyle.toml").write_text('library = ["cellar/*.gyle"]\n')
    (tmp_path / "cellar").mkdir()
    cellar = tmp_path / "cellar" / "malts.gyle"
    cellar.write_text('malt "Maß 🌾"\n  extract 80 %\n')
    text = 'recipe "Größe 🌾"\n  batch     20 L  # für 🌾\n\nmalt "Süß 🌾"  # für uns\n  extract             81 %\n'
    path = tmp_path / "a.gyle"
    path.write_text(text)
    uri = path.as_uri()
    open_text(client, text, uri)
    for piece, title, made in [
        ("# für 🌾", "Begin gyle 1 of this recipe today, in a log of its own", "create"),
        ("# für uns", "Move Süß 🌾 to the cellar (malts.gyle)", None),
    ]:
        at = span(text, piece, client.encoding).start
        context = t.CodeActionContext(diagnostics=[])
        params = t.CodeActionParams(t.TextDocumentIdentifier(uri), t.Range(at, at), context)
        actions = await client.text_document_code_action_async(params)
        action = next((a for a in actions if a.title == title), None)
        if action is None:
            assert made, "only what makes files may be left out"
            continue
        if action.edit is None:
            action = await client.code_action_resolve_async(action)
        edit = action.edit
        if made:
            assert edit.document_changes[0].kind == made
            assert edit.document_changes[1].edits[0].new_text.startswith('gyle 1 "Größe 🌾" on 20')
        else:
            here = edits_of(action, uri)
            assert apply(text, here, client.encoding) == 'recipe "Größe 🌾"\n  batch     20 L  # für 🌾\n\n'
            there = edits_of(action, cellar.as_uri())
            moved = apply(cellar.read_text(), there, client.encoding)
            assert moved.endswith('\nmalt "Süß 🌾"  # für uns\n  extract             81 %\n')
