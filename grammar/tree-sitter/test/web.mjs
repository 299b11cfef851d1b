// The grammar as it runs in a browser. Columns are counted in UTF-16 there; letters beyond ASCII stand before them.
import assert from 'node:assert/strict';
import { readFileSync } from 'node:fs';
import { createRequire } from 'node:module';
import { test } from 'node:test';

const folder = process.env.GYLE_WEB;
const { Parser, Language, Query } = createRequire(`${folder}/`)('web-tree-sitter');
await Parser.init();
const language = await Language.load(`${folder}/tree-sitter-gyle.wasm`);
const parser = new Parser();
parser.setLanguage(language);
const text = readFileSync(new URL('../../../editors/house/bière-de-marée.gyle', import.meta.url), 'utf8');
const lines = text.split('\n');

test('a broken line costs itself only', () => {
  const broken = new Set();
  const visit = (node) => {
    if (node.isError || node.isMissing) broken.add(node.startPosition.row);
    node.children.forEach(visit);
  };
  visit(parser.parse(text).rootNode);
  assert.deepEqual([...broken], [lines.findIndex((line) => line.includes('7,4'))]);
});

test('every query is accepted, and colours stand where they belong', () => {
  for (const name of ['highlights', 'folds', 'indents', 'locals', 'injections', 'textobjects']) {
    new Query(language, readFileSync(new URL(`../queries/${name}.scm`, import.meta.url), 'utf8'));
  }
  const query = new Query(language, readFileSync(new URL('../queries/highlights.scm', import.meta.url), 'utf8'));
  const row = lines.findIndex((line) => line.includes('10 min'));
  const column = lines[row].indexOf('10 min');
  const names = query.captures(parser.parse(text).rootNode)
    .filter(({ node }) => node.startPosition.row === row && node.startPosition.column === column)
    .map(({ name }) => name);
  assert.ok(names.includes('number'), names.join());
});
