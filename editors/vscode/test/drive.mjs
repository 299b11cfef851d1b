// What somebody at the screen sees: usage: drive.mjs ADDRESS FOLDER TAP SHOTS. Asks nothing outside this machine.
import { existsSync, readFileSync } from 'node:fs';
import { createRequire } from 'node:module';

const [, , address, folder, tap, shots] = process.argv;
const { chromium } = createRequire(`${process.env.GYLE_EDITOR}/`)('playwright-core');
const file = 'bière-de-marée.gyle';
let failed = 0, count = 0;
const check = (ok, what, detail = '') => {
  failed += ok ? 0 : 1;
  console.log(`${ok ? 'ok' : 'not ok'} ${++count} - ${what}${ok || !detail ? '' : `  # ${detail}`}`);
};
const browser = await chromium.launch({ executablePath: process.env.CHROMIUM, args: ['--no-sandbox', '--disable-gpu', '--disable-dev-shm-usage'] });
const page = await browser.newPage({ viewport: { width: 1280, height: 720 } });
page.setDefaultTimeout(60000);
const outside = new Set();
page.on('request', (request) => {
  const { hostname } = new URL(request.url());
  if (!inside(hostname)) outside.add(hostname);
});
// Files that a preview shows come from a host of this ending, which the page itself stands in for.
const inside = (hostname) => !hostname || hostname === '127.0.0.1' || hostname.endsWith('.vscode-resource.vscode-cdn.net');
await page.route((url) => !inside(url.hostname), (route) => route.abort());
const until = async (ready, limit = 60000) => {
  const end = Date.now() + limit;
  let value;
  while (!(value = await ready()) && Date.now() < end) await page.waitForTimeout(100);
  return value;
};
const drawn = async (piece) => {
  const lines = await page.locator('.editor-instance .view-lines .view-line').allTextContents();
  return lines.map((line) => line.replace(/\u00a0/g, ' ')).find((line) => line.includes(piece)) ?? '';
};

await page.goto(`${address}/?folder=${folder}`);
await page.waitForSelector('.monaco-workbench .explorer-folders-view', );
if (tap) {
  // The tests inside the editor come first; they leave the file open and saved.
  check(await until(() => existsSync(tap), 240000), 'the tests inside the editor end');
  const said = existsSync(tap) ? readFileSync(tap, 'utf8') : '';
  console.log(said.replace(/^/gm, '    ').trimEnd());
  check(/^0 failed$/m.test(said), 'the tests inside the editor pass');
}
await page.locator('.explorer-folders-view .monaco-list-row', { hasText: 'bière' }).first().dblclick();
await page.waitForSelector('.editor-instance .view-line');
check(await until(async () => /\S+ \[5 %\] at\s+10 min[^\p{L}\d]*\d/u.test(await drawn('[5 %]'))), 'the value of a hop is drawn after its line', await drawn('[5 %]'));
check(await until(async () => /Marée malt 🌾[^\p{L}\d]*93\.5 %/u.test(await drawn('3.6 kg'))), 'the share of a malt is drawn after its line', await drawn('3.6 kg'));
// Squares of colour stand in the blank before a name, and names below each other as in the file.
const left = (piece) => page.locator('.editor-instance .view-line span[class^="mtk"]', { hasText: new RegExp(`^${piece}`) }).last()
  .evaluate((span) => Math.round(span.getBoundingClientRect().left * 10) / 10);
const squares = () => page.locator('.editor-instance .view-line span').evaluateAll((all) => all
  .map((one) => getComputedStyle(one, '::before')).filter((style) => style.content !== 'none' && /^rgb\(/.test(style.backgroundColor))
  .map((style) => style.backgroundColor));
check(await until(async () => new Set(await squares()).size === 3), 'the beer and its two malts have their colours', (await squares()).join());
const edges = () => Promise.all(['Marée', 'crystal', 'Süße', '1.050'].map(left));
check(await until(async () => new Set(await edges()).size === 1), 'the columns are straight', (await edges()).join());
check(await until(() => page.locator('.squiggly-error').count()), 'the missed expectation is underlined');
check(await until(() => page.locator('.statusbar-item', { hasText: /IBU/ }).count()), 'the beer is in the status bar');
check(await until(() => page.locator('.statusbar-item', { hasText: /^gyle$/ }).count()), 'the language is in the status bar');
const colours = () => page.locator('.editor-instance .view-line', { hasText: 'boil' }).first()
  .evaluate((line) => new Set([...line.querySelectorAll('span[class^="mtk"]')].map((span) => span.className)).size);
check(await until(async () => (await colours()) >= 3), 'a header has its colours', String(await colours()));
await page.keyboard.press('Control+Shift+M');
check(await until(async () => (await page.locator('.markers-panel .monaco-list-row').allTextContents()).some((row) => row.includes('og is'))), 'the problems list names it');
await page.screenshot({ path: `${shots}/open.png` });

// Renamed to a sign that begins with the same half in UTF-16, which the editor cuts unless it is told not to.
const row = readFileSync(`${folder}/${file}`, 'utf8').split('\n').findIndex((line) => line.includes('[5 %]')) + 1;
await page.locator('.editor-instance .view-line').first().click();
await page.keyboard.press('Control+G');
await page.keyboard.type(`${row}:14`);
await page.keyboard.press('Enter');
await page.waitForSelector(`.statusbar-item >> text=Ln ${row}, Col 14`);
await page.keyboard.press('F2');
await page.waitForSelector('.rename-box input:focus');
await page.keyboard.press('Control+A');
await page.keyboard.type('Süße 𝄢');
await page.keyboard.press('Enter');
check(await until(async () => /20 g +Süße 𝄢 \[5 %\]/u.test(await drawn('[5 %]'))), 'a hop is renamed by its key', await drawn('[5 %]'));

// The recipe at the cursor in another size, by the command and what it asks for; then as it was.
await page.keyboard.press('Control+Shift+P');
await page.keyboard.type('gyle: Resize');
await page.locator('.quick-input-list .monaco-list-row', { hasText: 'Resize the Recipe' }).first().click();
await page.waitForSelector('.quick-input-widget:not(.hidden) >> text=The new batch');
await page.keyboard.type('2 imperial gallons');
await page.keyboard.press('Enter');
check(await until(async () => /batch +9\.09\d* L/.test(await drawn('batch'))), 'the recipe is resized', await drawn('batch'));
check(await until(async () => /1\.6\d* kg +Marée malt 🌾/u.test(await drawn('Marée malt'))), 'its malts with it', await drawn('Marée malt'));
await page.keyboard.press('Control+Z');
check(await until(async () => /batch +20 L/.test(await drawn('batch'))), 'and back', await drawn('batch'));

// A line typed wrongly, key by key; its fix from the menu; the file on disk.
await page.locator('.editor-instance .view-line', { hasText: '[5 %]' }).first().click();
await page.keyboard.press('End');
await page.keyboard.type('\n5 g       Süße 𝄢 [5,5 %] at 5 min');
check(await until(async () => (await page.locator('.markers-panel .monaco-list-row').allTextContents()).some((row) => row.includes('5,5'))), 'a line typed wrongly is found');
for (let n = 0; n < 14; n++) await page.keyboard.press('ArrowLeft');
await page.keyboard.press('Control+.');
check(await until(async () => (await page.locator('.action-widget').allTextContents()).some((menu) => menu.includes('Write `5.5`'))), 'its fix is in the menu', (await page.locator('.action-widget').allTextContents()).join());
await page.screenshot({ path: `${shots}/fix.png` });
await page.keyboard.press('Enter');
check(await until(async () => /\[5\.5 %\]/.test(await drawn('at 5 min'))), 'the fix is applied', await drawn('at 5 min'));
await page.keyboard.press('Control+S');
check(await until(() => readFileSync(`${folder}/${file}`, 'utf8').includes('[5.5 %] at 5 min')), 'and saved');
// What a definition's lens speaks of.
await page.keyboard.press('Control+P');
await page.keyboard.type('stores');
await page.locator('.quick-input-list .monaco-list-row', { hasText: 'stores.gyle' }).first().click();
await page.locator('.codelens-decoration a', { hasText: 'used in 1 recipe' }).first().click();
check(await until(() => page.locator('.peekview-widget .view-line', { hasText: '3.6 kg' }).count()), 'a lens shows who uses the malt');
check(outside.size === 0, 'nothing outside is asked', [...outside].join(' '));
await browser.close();
process.exit(failed ? 1 : 0);
