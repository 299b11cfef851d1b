// The TextMate grammar in the tokenizer that VS Code uses, against the colours of the tree-sitter grammar.
// Usage: node test.mjs COLOURS.json, written by the test `grammar` of the package gyle-tests (see test.sh).
import assert from "node:assert/strict";
import fs from "node:fs";
import { createRequire } from "node:module";
import { test } from "node:test";

const require = createRequire(import.meta.url);
const textmate = require("vscode-textmate");
const oniguruma = require("vscode-oniguruma");

const wasm = fs.readFileSync(require.resolve("vscode-oniguruma/release/onig.wasm")).buffer;
const onigLib = oniguruma.loadWASM(wasm).then(() => ({
  createOnigScanner: (patterns) => new oniguruma.OnigScanner(patterns),
  createOnigString: (text) => new oniguruma.OnigString(text),
}));
const file = new URL("gyle.tmLanguage.json", import.meta.url).pathname;
const registry = new textmate.Registry({
  onigLib,
  loadGrammar: async (scope) =>
    scope === "source.gyle" ? textmate.parseRawGrammar(fs.readFileSync(file, "utf8"), file) : null,
});

const CLASSES = [
  ["comment.line.stamp", "s"],
  ["comment.", "c"],
  ["markup.quote", "p"],
  ["string.quoted", "q"],
  ["constant.numeric", "n"],
  ["keyword.other.unit", "u"],
  ["keyword.control.block", "b"],
  ["keyword.other.entry", "k"],
  ["support.type.property-name", "f"],
];
const classOf = (scopes) => {
  for (const scope of [...scopes].reverse()) {
    const found = CLASSES.find(([name]) => scope.startsWith(name));
    if (found) return found[1];
  }
  return ".";
};

test("the colours of every sound line of the corpus", async () => {
  const grammar = await registry.loadGrammar("source.gyle");
  const differences = [];
  let lines = 0;
  for (const { path, text, colours, broken } of JSON.parse(fs.readFileSync(process.env.GYLE_COLOURS, "utf8"))) {
    let state = textmate.INITIAL;
    let at = 0;
    for (const [number, line] of text.split("\n").entries()) {
      const bytes = Buffer.from(line).length;
      const result = grammar.tokenizeLine(line, state);
      state = result.ruleStack;
      let byte = at;
      let wrong = false;
      let found = "";
      let wanted = "";
      for (let n = 0; n < line.length; n++) {
        const token = result.tokens.find((t) => t.startIndex <= n && n < t.endIndex);
        const mine = /\s/.test(line[n]) ? " " : classOf(token.scopes);
        const theirs = /\s/.test(line[n]) ? " " : colours[byte];
        found += mine;
        wanted += theirs;
        wrong ||= mine !== theirs;
        byte += Buffer.from(line[n]).length;
      }
      if (!broken.includes(number)) {
        lines += 1;
        if (wrong) differences.push(`${path}:${number + 1}\n${line}\n${found}\n${wanted}`);
      }
      at += bytes + 1;
    }
  }
  assert.ok(lines > 1000, `only ${lines} lines compared`);
  console.log(`${lines} lines, ${differences.length} differ`);
  assert.equal(differences.length, 0, differences.slice(0, 25).join("\n"));
});

test("a very long line is read in time", async () => {
  const grammar = await registry.loadGrammar("source.gyle");
  for (const unit of ["a", "1", "1 g ", "[", "(", "\"", "g/", "at ", " #="]) {
    const line = `  ${unit.repeat(20000 / unit.length)}`;
    const header = grammar.tokenizeLine("grist", textmate.INITIAL);
    assert.equal(grammar.tokenizeLine(line, header.ruleStack, 2000).stoppedEarly, false, unit);
  }
});
