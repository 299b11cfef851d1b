// One file of code, and what is kept once in the repository: the grammar and the licences.
import { build } from 'esbuild';
import { copyFileSync, mkdirSync, rmSync } from 'node:fs';

process.chdir(import.meta.dirname);
rmSync('dist', { recursive: true, force: true });
mkdirSync('dist');
await build({
  entryPoints: ['src/extension.js'],
  outfile: 'dist/extension.js',
  bundle: true,
  platform: 'node',
  target: 'node18',
  format: 'cjs',
  external: ['vscode'],
  minify: true,
});
copyFileSync('../../grammar/textmate/gyle.tmLanguage.json', 'dist/gyle.tmLanguage.json');
copyFileSync('../../LICENSE-MIT', 'LICENSE');
