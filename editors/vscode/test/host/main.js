// Runs inside the extension host and writes TAP to the file that GYLE_TAP names. Every asserted column has letters
// before it that count differently in bytes, UTF-16 and UTF-32.
const assert = require('node:assert/strict');
const fs = require('node:fs');
const vscode = require('vscode');

const lines = [];
let failed = 0;

async function test(what, body) {
  try {
    await body();
    lines.push(`ok ${lines.length + 1} - ${what}`);
  } catch (problem) {
    failed += 1;
    lines.push(`not ok ${lines.length + 1} - ${what}  # ${String(problem?.message ?? problem).replace(/\s+/g, ' ')}`);
  }
}

async function until(ready, what = 'waited in vain') {
  const limit = Date.now() + 60000;
  for (;;) {
    const value = await ready();
    if (value) return value;
    if (Date.now() > limit) throw new Error(typeof what === 'function' ? what() : what);
    await new Promise((resolve) => setTimeout(resolve, 50));
  }
}

const ask = (command, ...rest) => vscode.commands.executeCommand(command, ...rest);
const text = (label) => (typeof label === 'string' ? label : label.map((part) => part.value).join(''));

async function all() {
  const folder = vscode.workspace.workspaceFolders[0].uri;
  const uri = vscode.Uri.joinPath(folder, 'bière-de-marée.gyle');
  const document = await vscode.workspace.openTextDocument(uri);
  const editor = await vscode.window.showTextDocument(document, { preview: false });
  const gyle = await vscode.extensions.getExtension('gyle.gyle').activate();
  const whole = () => new vscode.Range(0, 0, document.lineCount, 0);
  const found = () => vscode.languages.getDiagnostics(uri);
  const line = (piece) => {
    for (let number = 0; number < document.lineCount; number++) {
      if (document.lineAt(number).text.includes(piece)) return number;
    }
    throw new Error(`no line with ${piece}`);
  };
  // The place of a piece of text; a string here is counted as the editor counts.
  const range = (piece, part = piece) => {
    const number = line(piece);
    const from = document.lineAt(number).text.indexOf(part);
    return new vscode.Range(number, from, number, from + part.length);
  };
  const hints = async () => (await ask('vscode.executeInlayHintProvider', uri, whole())) ?? [];

  await test('the language goes by the ending', () => assert.equal(document.languageId, 'gyle'));
  await test('a decimal comma is underlined where it stands', async () => {
    const one = await until(() => found().find((d) => d.code === 'decimal-comma' || d.code?.value === 'decimal-comma'));
    assert.deepEqual(one.range, range('7,4'));
    assert.equal(one.severity, vscode.DiagnosticSeverity.Error);
    assert.equal(one.source, 'gyle');
  });
  await test('a value stands at the end of its line', async () => {
    const hop = range('7,4').start.line;
    const one = (await until(async () => { const h = await hints(); return h.length && h; })).find((h) => h.position.line === hop);
    assert.equal(text(one.label), '23 IBU');
    assert.equal(one.position.character, document.lineAt(hop).text.length);
    assert.match(document.lineAt(hop).text, /🌾/u);
  });
  await test('the status bar shows the beer at the cursor', async () => {
    editor.selection = new vscode.Selection(line('3.6 kg'), 0, line('3.6 kg'), 0);
    await until(() => /28 IBU/.test(gyle.status().text), () => gyle.status().text);
  });
  await test('hover names the malt', async () => {
    const shown = await ask('vscode.executeHoverProvider', uri, range('3.6 kg', 'malt 🌾').start);
    assert.match(shown.flatMap((h) => h.contents).map((c) => c.value ?? c).join('\n'), /Marée malt/);
  });
  await test('the server colours a number where it stands', async () => {
    const legend = await ask('vscode.provideDocumentSemanticTokensLegend', uri);
    const { data } = await ask('vscode.provideDocumentSemanticTokens', uri);
    const wanted = range('10 min');
    let at = 0, column = 0, hit;
    for (let n = 0; n < data.length; n += 5) {
      column = data[n] ? data[n + 1] : column + data[n + 1];
      at += data[n];
      if (at === wanted.start.line && column === wanted.start.character) hit = `${data[n + 2]} ${legend.tokenTypes[data[n + 3]]}`;
    }
    assert.equal(hit, '2 number');
  });
  await test('completion knows names of several words', async () => {
    const malt = range('3.6 kg', 'malt 🌾').start;
    const list = await ask('vscode.executeCompletionItemProvider', uri, malt.translate(0, 1));
    const one = list.items.find((item) => text([{ value: item.label.label ?? item.label }]) === 'Marée malt 🌾');
    const replaced = one.range.replacing ?? one.range;
    assert.equal(document.getText(replaced).slice(0, 7), 'Marée m');
    assert.equal(replaced.start.character, range('3.6 kg', 'Marée').start.character);
  });
  await test('a severity that is set is shown, and off is off', async () => {
    const settings = vscode.workspace.getConfiguration('gyle');
    await settings.update('severities', { 'decimal-comma': 'hint', 'expectation-missed': 'off' }, vscode.ConfigurationTarget.Global);
    const code = (d) => d.code?.value ?? d.code;
    await until(
      () => found().some((d) => code(d) === 'decimal-comma' && d.severity === vscode.DiagnosticSeverity.Hint) && !found().some((d) => code(d) === 'expectation-missed'),
      () => JSON.stringify(found()),
    );
    await settings.update('severities', undefined, vscode.ConfigurationTarget.Global);
    await until(() => found().some((d) => code(d) === 'expectation-missed'));
  });
  await test('a kind of value can be switched off', async () => {
    const settings = vscode.workspace.getConfiguration('gyle.hints');
    await settings.update('hops', false, vscode.ConfigurationTarget.Global);
    const hop = range('7,4').start.line;
    await until(async () => { const h = await hints(); return h.length && !h.some((one) => one.position.line === hop); });
    await settings.update('hops', undefined, vscode.ConfigurationTarget.Global);
    await until(async () => (await hints()).some((one) => one.position.line === hop));
  });
  await test('the fix mends the comma', async () => {
    const actions = await ask('vscode.executeCodeActionProvider', uri, range('7,4'), 'quickfix');
    const fix = actions.find((action) => action.title.includes('7.4'));
    assert.ok(await vscode.workspace.applyEdit(fix.edit));
    assert.match(document.lineAt(line('at 60 min')).text, /^ {2}25 g {6}Größe 🌾 \[7\.4 %\] at 60 min$/u);
    await until(() => !found().some((d) => (d.code?.value ?? d.code) === 'decimal-comma'));
  });
  await test('the file is lined up', async () => {
    const edits = await ask('vscode.executeFormatDocumentProvider', uri, { tabSize: 2, insertSpaces: true });
    const edit = new vscode.WorkspaceEdit();
    edit.set(uri, edits);
    assert.ok(await vscode.workspace.applyEdit(edit));
    assert.equal(document.lineAt(line('10 min')).text, '  20 g      Größe 🌾 [5 %] at 10 min');
  });
  const putBack = async (before) => {
    const back = new vscode.WorkspaceEdit();
    back.replace(uri, whole(), before);
    assert.ok(await vscode.workspace.applyEdit(back));
  };
  await test('the file is stamped', async () => {
    const before = document.getText();
    await ask('gyle.stamp');
    assert.match(document.getText(), /^recipe "Bière de Marée" {2}#= og 1\.042, .*\n[^]*Größe 🌾 \[7\.4 %\] at 60 min {2}#= 23 IBU\n/mu);
    await putBack(before);
  });
  await test('a hop is renamed here and in the cellar', async () => {
    const edit = await ask('vscode.executeDocumentRenameProvider', uri, range('7.4', 'Größe').start, 'Süße 𝄞');
    assert.ok(await vscode.workspace.applyEdit(edit));
    assert.match(document.getText(), /25 g {6}Süße 𝄞 \[7\.4 %\]/u);
    const stores = await vscode.workspace.openTextDocument(vscode.Uri.joinPath(folder, 'cellar/stores.gyle'));
    assert.match(stores.getText(), /hop "Süße 𝄞"/u);
    await stores.save();
  });
  await test('a definition says who uses it, and shows where', async () => {
    const stores = vscode.Uri.joinPath(folder, 'cellar/stores.gyle');
    await vscode.workspace.openTextDocument(stores);
    const lens = await until(async () => {
      const all = await ask('vscode.executeCodeLensProvider', stores, 10);
      return all?.find((one) => one.range.start.line === 0 && one.command?.command === 'gyle.showReferences');
    });
    assert.equal(lens.command.title, 'used in 1 recipe');
    const [, , [place]] = lens.command.arguments;
    assert.match(place.uri, /bi%C3%A8re-de-mar%C3%A9e\.gyle$/);
    const wanted = range('3.6 kg', 'Marée malt 🌾');
    assert.deepEqual([place.range.start, place.range.end].map((at) => [at.line, at.character]), [wanted.start, wanted.end].map((at) => [at.line, at.character]));
    await ask(lens.command.command, ...lens.command.arguments);
    const { document: shown } = await until(() => vscode.window.activeTextEditor);
    assert.equal(shown.uri.path, stores.path);
    await ask('closeReferenceSearch');
    await vscode.window.showTextDocument(document);
  });
  await test('gyle.toml is checked and obeyed as it is typed', async () => {
    const toml = await vscode.workspace.openTextDocument(vscode.Uri.joinPath(folder, 'gyle.toml'));
    const last = toml.lineCount - 1;
    const type = async (level) => {
      const edit = new vscode.WorkspaceEdit();
      const rules = `check.rules = { "größe 🌾" = "off", expectation-missed = "${level}" }\n`;
      edit.replace(toml.uri, new vscode.Range(last, 0, toml.lineCount, 0), level ? rules : '');
      assert.ok(await vscode.workspace.applyEdit(edit));
      return rules;
    };
    const column = (await type('soft')).indexOf('"soft"');
    const one = await until(() => vscode.languages.getDiagnostics(toml.uri).find((d) => d.message.includes('soft')));
    assert.deepEqual(one.range, new vscode.Range(last, column, last, column + '"soft"'.length));
    const missed = () => found().some((d) => (d.code?.value ?? d.code) === 'expectation-missed');
    assert.ok(missed());
    await type('off');
    await until(() => !missed(), 'the recipe is not read by the settings typed');
    await type('');
    await until(missed, 'the settings are not put back');
    await toml.save();
  });
  await test('the change is compared with the committed version', async () => {
    const weight = new vscode.WorkspaceEdit();
    const hop = line('at 60 min');
    weight.replace(uri, new vscode.Range(hop, 2, hop, 6), '40 g');
    assert.ok(await vscode.workspace.applyEdit(weight));
    await ask('gyle.compare');
    const shown = await vscode.workspace.openTextDocument(vscode.Uri.from({ scheme: 'gyle-compare', path: '/bière-de-marée.gyle.md' }));
    assert.match(shown.getText(), /### Bière de Marée[^]*\| ibu \| 28 IBU \| 41 IBU \|/);
    assert.equal(document.isDirty, false);
    await vscode.window.showTextDocument(document, vscode.ViewColumn.One);
    await ask('workbench.action.closeEditorsInOtherGroups');
  });
  await test('a program that is not there is named, and found again', async () => {
    const settings = vscode.workspace.getConfiguration('gyle');
    const before = settings.inspect('path').globalValue;
    await settings.update('path', '/nowhere/gyle', vscode.ConfigurationTarget.Global);
    await until(() => gyle.status().text === 'gyle: not found', () => gyle.status().text);
    assert.match(gyle.status().tooltip, /\/nowhere\/gyle was not found.*cargo install/s);
    await settings.update('path', before, vscode.ConfigurationTarget.Global);
    await until(() => /IBU/.test(gyle.status().text), () => gyle.status().text);
  });
}

exports.activate = async () => {
  const out = process.env.GYLE_TAP;
  if (!out || fs.existsSync(out)) return;
  await test('the script runs to its end', all);
  fs.writeFileSync(out, `${lines.join('\n')}\n${failed} failed\n`);
};
