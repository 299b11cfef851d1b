// Colours of malt and beer, in the blank before their name. The editor's own squares would push the name aside, and
// the columns with it.
const vscode = require('vscode');

/** @type {vscode.TextEditorDecorationType} */
let square;

exports.make = () => (square = vscode.window.createTextEditorDecorationType({}));

/** Draws the colours of a document and says that there are none, so that the editor draws no squares itself. */
exports.draw = (document, colours) => {
  const shown = (colours ?? []).map(({ range: { start }, color: { red, green, blue } }) => {
    // Not right beside the name where there are two blanks.
    const { length } = document.lineAt(start.line).text.slice(0, start.character).replace(/(?<=\s)[ "]$/, '');
    const channels = [red, green, blue].map((part) => Math.round(part * 255)).join(' ');
    return {
      range: new vscode.Range(start.line, Math.max(length - 1, 0), start.line, start.character),
      renderOptions: {
        before: {
          contentText: '',
          backgroundColor: `rgb(${channels})`,
          border: '1px solid',
          borderColor: new vscode.ThemeColor('editorLineNumber.foreground'),
          width: 'calc(1ch - 2px)',
          height: '0.8em',
          // As far back as it is wide: what follows stays where it is.
          margin: '0 calc(1px - 1ch) 0 1px',
        },
      },
    };
  });
  for (const editor of vscode.window.visibleTextEditors) {
    if (editor.document === document) editor.setDecorations(square, shown);
  }
  return [];
};
