// The window of the language server: starts it, says so when it cannot, and shows the beer at the cursor.
const { execFile } = require('node:child_process');
const path = require('node:path');
const vscode = require('vscode');
const { LanguageClient, RevealOutputChannelOn } = require('vscode-languageclient/node');
const { shownSeverity } = require('./severities');
const swatches = require('./swatches');

/** @type {LanguageClient | undefined} */
let client;
let status;
// One start or stop after the other, however fast the settings change.
let turn = Promise.resolve();

const settings = () => vscode.workspace.getConfiguration('gyle');
const isOurs = (document) => document?.languageId === 'gyle';

/** The program that is set, with `~` and `${workspaceFolder}` put in. */
function program() {
  const folder = vscode.workspace.workspaceFolders?.[0]?.uri.fsPath ?? '';
  const home = process.env.HOME ?? process.env.USERPROFILE ?? '';
  const written = settings().get('path') || 'gyle';
  return written.replace('${workspaceFolder}', folder).replace(/^~(?=[/\\])/, home);
}

/** Runs the program; its output, or an error with what it said. */
function run(args, cwd) {
  return new Promise((resolve, reject) => {
    execFile(program(), args, { cwd, maxBuffer: 16 << 20 }, (error, out, said) => {
      if (error) reject(Object.assign(error, { said: said.trim() || out.trim() }));
      else resolve(out);
    });
  });
}

async function start() {
  try {
    await run(['--version']);
  } catch (error) {
    return showMissing(error);
  }
  const middleware = {
    handleDiagnostics: (uri, found, next) => next(uri, asShown(found)),
    provideDiagnostics: async (document, previous, token, next) => reportAsShown(await next(document, previous, token)),
    provideWorkspaceDiagnostics: (previous, token, partial, next) =>
      next(previous, token, (chunk) => {
        chunk?.items.forEach(reportAsShown);
        partial(chunk);
      }),
    provideDocumentColors: async (document, token, next) => swatches.draw(document, await next(document, token)),
    provideRenameEdits: async (document, at, name, token, next) => whole(await next(document, at, name, token)),
  };
  client = new LanguageClient(
    'gyle',
    'gyle',
    { command: program(), args: ['lsp'] },
    {
      documentSelector: [{ language: 'gyle' }, { pattern: '**/gyle.toml' }],
      synchronize: { configurationSection: 'gyle' },
      initializationOptions: { commands: ['gyle.showReferences'] },
      revealOutputChannelOn: RevealOutputChannelOn.Never,
      middleware,
    },
  );
  try {
    await client.start();
    await showBeer();
  } catch (error) {
    client = undefined;
    showMissing(error);
  }
}

async function stop() {
  const before = client;
  client = undefined;
  await before?.dispose();
}

function restart() {
  turn = turn.then(stop).then(start);
  return turn;
}

function showMissing(error) {
  const missing = error.code === 'ENOENT';
  const what = missing
    ? `${program()} was not found, so recipes are shown without values and findings. Install it with \`cargo install --path crates/gyle --locked\`, or say where it is.`
    : `${program()} does not run: ${error.said || error.message}`;
  show(missing ? 'gyle: not found' : 'gyle: does not run', what, 'gyle.restart');
  // Nobody has to answer before something else is done.
  void vscode.window.showErrorMessage(what, 'Set Path', 'Try Again').then((choice) => {
    if (choice === 'Set Path') return vscode.commands.executeCommand('workbench.action.openSettings', 'gyle.path');
    if (choice === 'Try Again') return restart();
  });
}

function show(text, tooltip, command) {
  status.text = text;
  status.tooltip = tooltip;
  status.command = command;
  status.show();
}

/** The sentence of the recipe at the cursor, as it stands at the recipe's header. */
async function showBeer() {
  const editor = vscode.window.activeTextEditor;
  if (!client?.isRunning()) return;
  if (!isOurs(editor?.document)) return status.hide();
  const { document, selection } = editor;
  const hints = await client.sendRequest('textDocument/inlayHint', {
    textDocument: { uri: client.code2ProtocolConverter.asUri(document.uri) },
    range: { start: { line: 0, character: 0 }, end: { line: document.lineCount, character: 0 } },
  });
  if (vscode.window.activeTextEditor !== editor) return;
  const beers = (hints ?? []).filter((hint) => hint.data?.kind === 'recipe');
  // Above the first header there is the first.
  const beer = beers.findLast((hint) => hint.position.line <= selection.active.line) ?? beers[0];
  if (!beer) return status.hide();
  const label = typeof beer.label === 'string' ? beer.label : beer.label.map((part) => part.value).join('');
  const header = document.lineAt(beer.position.line).text.trim();
  show(label, `${header}: ${label}`, undefined);
}

/** Findings with the severities that are set here. */
function asShown(found) {
  const wanted = settings().get('severities') ?? {};
  return found.flatMap((one) => {
    const severity = shownSeverity(wanted, one, vscode.DiagnosticSeverity);
    if (severity === undefined) return [];
    one.severity = severity;
    return [one];
  });
}

function reportAsShown(report) {
  if (report?.items) report.items = asShown(report.items);
  return report;
}

/**
 * Edits that are put in as they are. Those without a label the editor first cuts down to the units of UTF-16 that
 * differ, and so leaves half a character where an ear of wheat becomes a mug.
 */
function whole(edit) {
  if (!edit) return edit;
  const kept = new vscode.WorkspaceEdit();
  const label = { label: 'Rename', needsConfirmation: false };
  for (const [uri, edits] of edit.entries()) kept.set(uri, edits.map((one) => [one, label]));
  return kept;
}

async function stamp() {
  const document = vscode.window.activeTextEditor?.document;
  if (!client?.isRunning() || !isOurs(document)) return;
  const at = { line: 0, character: 0 };
  const actions = await client.sendRequest('textDocument/codeAction', {
    textDocument: { uri: client.code2ProtocolConverter.asUri(document.uri) },
    range: { start: at, end: at },
    context: { diagnostics: [], only: ['source'] },
  });
  const choices = (actions ?? []).filter((one) => one.data?.id === 'stamp').map((one) => ({ label: one.title, action: one }));
  if (choices.length === 0) {
    void vscode.window.showInformationMessage('There is no recipe here to stamp, and no log to pin.');
    return;
  }
  const choice = choices.length > 1 ? await vscode.window.showQuickPick(choices) : choices[0];
  if (!choice) return;
  const { edit } = await client.sendRequest('codeAction/resolve', choice.action);
  if (edit) await vscode.workspace.applyEdit(await client.protocol2CodeConverter.asWorkspaceEdit(edit));
  else void vscode.window.showInformationMessage('The stamps are as they should be.');
}

async function resize() {
  const editor = vscode.window.activeTextEditor;
  if (!client?.isRunning() || !isOurs(editor?.document)) return;
  const batch = await vscode.window.showInputBox({
    title: 'Resize the recipe at the cursor',
    prompt: 'The new batch, such as 50 L; gravity, bitterness, colour and water stay',
  });
  if (!batch) return;
  const { asUri, asPosition } = client.code2ProtocolConverter;
  const asked = { uri: asUri(editor.document.uri), position: asPosition(editor.selection.active), batch };
  try {
    await client.sendRequest('workspace/executeCommand', { command: 'gyle.resizeTo', arguments: [asked] });
  } catch (error) {
    void vscode.window.showErrorMessage(error.message);
  }
}

/** What the committed version of a file would have become, and what it becomes now. */
async function compare() {
  const document = vscode.window.activeTextEditor?.document;
  if (!isOurs(document) || document.uri.scheme !== 'file') {
    void vscode.window.showInformationMessage('Open a recipe that lies in a git repository, then compare it.');
    return;
  }
  if (document.isDirty) await document.save();
  const { dir, base } = path.parse(document.uri.fsPath);
  try {
    compared = await run(['compare', '--format', 'markdown', `HEAD:./${base}`, base], dir);
  } catch (error) {
    void vscode.window.showErrorMessage(`${base} could not be compared: ${error.said || error.message}`);
    return;
  }
  const uri = vscode.Uri.from({ scheme: 'gyle-compare', path: `/${base}.md` });
  changed.fire(uri);
  await vscode.commands.executeCommand('markdown.showPreviewToSide', uri);
}

/** What a lens speaks of, in the window of references. */
function showReferences(uri, position, places) {
  const { asUri, asPosition, asLocation } = client.protocol2CodeConverter;
  return vscode.commands.executeCommand('editor.action.showReferences', asUri(uri), asPosition(position), places.map(asLocation));
}

async function newRecipe() {
  const document = await vscode.workspace.openTextDocument({ language: 'gyle', content: '' });
  await vscode.window.showTextDocument(document);
  await vscode.commands.executeCommand('editor.action.triggerSuggest');
}

let compared = '';
const changed = new vscode.EventEmitter();

/** Calls when it has been quiet for a while. */
function settled(call, milliseconds) {
  let timer;
  return () => {
    clearTimeout(timer);
    timer = setTimeout(() => call().catch(() => undefined), milliseconds);
  };
}

exports.activate = async (context) => {
  status = vscode.window.createStatusBarItem('gyle.beer', vscode.StatusBarAlignment.Left);
  status.name = 'gyle';
  const beer = settled(showBeer, 150);
  context.subscriptions.push(
    status,
    changed,
    swatches.make(),
    vscode.commands.registerCommand('gyle.restart', restart),
    vscode.commands.registerCommand('gyle.compare', compare),
    vscode.commands.registerCommand('gyle.newRecipe', newRecipe),
    vscode.commands.registerCommand('gyle.stamp', stamp),
    vscode.commands.registerCommand('gyle.resize', resize),
    vscode.commands.registerCommand('gyle.showReferences', showReferences),
    vscode.workspace.registerTextDocumentContentProvider('gyle-compare', {
      onDidChange: changed.event,
      provideTextDocumentContent: () => compared,
    }),
    vscode.window.onDidChangeActiveTextEditor(beer),
    vscode.window.onDidChangeTextEditorSelection((event) => isOurs(event.textEditor.document) && beer()),
    vscode.workspace.onDidChangeTextDocument((event) => isOurs(event.document) && beer()),
    vscode.workspace.onDidChangeConfiguration((event) => {
      if (event.affectsConfiguration('gyle.path') || event.affectsConfiguration('gyle.severities')) return restart();
      if (event.affectsConfiguration('gyle.hints')) beer();
    }),
  );
  await restart();
  return { status: () => status };
};

exports.deactivate = stop;
