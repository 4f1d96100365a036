// Looks at a page as a reader would and prints what it found as JSON.
//
//     node look.mjs MODULES PAGE [PICTURES]
//
// MODULES is the folder that holds node_modules. Asked are Chromium (SCANT_CHROMIUM, else
// /usr/bin/chromium) through playwright-core, axe-core for accessibility and html-validate for
// what may stand inside what. With PICTURES, what was seen is kept there.

import { createRequire } from "node:module";
import { mkdtempSync, readFileSync, rmSync } from "node:fs";
import { tmpdir } from "node:os";
import { join, resolve } from "node:path";
import { pathToFileURL } from "node:url";

const [modules, file, pictures] = process.argv.slice(2);
const require = createRequire(join(resolve(modules), "node_modules", "x.js"));
const { chromium } = require("playwright-core");
const { HtmlValidate, StaticConfigLoader } = require("html-validate");
const axe = readFileSync(require.resolve("axe-core/axe.min.js"), "utf8");
const address = pathToFileURL(resolve(file)).href;

// The success criteria of WCAG 2.2 A and AA, and what axe-core calls good practice.
const TAGS = ["wcag2a", "wcag2aa", "wcag21a", "wcag21aa", "wcag22aa", "best-practice"];

const VIEWS = [
  { name: "narrow", width: 320, height: 640, touch: true },
  { name: "phone", width: 360, height: 740, touch: true },
  { name: "desktop", width: 1280, height: 900, touch: false },
  { name: "dark", width: 360, height: 740, touch: true, scheme: "dark" },
];

// Inside the margins of 9 mm, at 96 pixels an inch.
const PAPERS = [
  { name: "A4", width: Math.floor(((210 - 18) / 25.4) * 96) },
  { name: "Letter", width: Math.floor(((215.9 - 18) / 25.4) * 96) },
];

// WCAG 2.2, 1.4.12: nothing may be lost with text spaced like this.
const SPACED =
  "* { line-height: 1.5 !important; letter-spacing: .12em !important; word-spacing: .16em !important; } p { margin-bottom: 2em !important; }";

const flags = [
  "--no-sandbox",
  "--disable-gpu",
  "--disable-quic",
  "--no-first-run",
  "--disable-background-networking",
  "--disable-component-update",
  "--disable-sync",
];
const profile = mkdtempSync(join(tmpdir(), "page-profile-"));

/** What sticks out of the page sideways; what scrolls by itself may. */
function sticking() {
  const width = document.documentElement.clientWidth;
  const out = [];
  for (const element of document.body.querySelectorAll("*")) {
    const box = element.getBoundingClientRect();
    const own = element.closest(".scroll, .skip, .unseen");
    if (box.width > 0 && box.right > width + 1 && (!own || own === element) && !element.matches(".skip, .unseen")) {
      out.push(element.outerHTML.slice(0, 120));
    }
  }
  const scroll = document.documentElement.scrollWidth;
  return { by: Math.max(0, scroll - width), out: out.slice(0, 10) };
}

/** Things to hit with a finger that are under 24 pixels (WCAG 2.2, 2.5.8). */
function small() {
  const all = [...document.querySelectorAll("input, nav a")];
  return all.filter((one) => {
    const box = (one.closest("label") ?? one).getBoundingClientRect();
    return box.width > 0 && (box.width < 24 || box.height < 24);
  }).length;
}

/** Words that are broken at the end of a line, but for those with a hyphen or a slash in them. */
function broken() {
  const found = [];
  const texts = document.createTreeWalker(document.querySelector("main"), NodeFilter.SHOW_TEXT);
  while (texts.nextNode()) {
    const node = texts.currentNode;
    for (const word of node.data.matchAll(/[^\s\u00a0/·-]+/gu)) {
      const range = document.createRange();
      range.setStart(node, word.index);
      range.setEnd(node, word.index + word[0].length);
      const tops = new Set([...range.getClientRects()].map((box) => Math.round(box.top)));
      if (tops.size > 1) found.push(word[0]);
    }
  }
  return found.slice(0, 10);
}

/** The smallest text that is shown, in pixels. */
function smallest() {
  const texts = document.createTreeWalker(document.body, NodeFilter.SHOW_TEXT);
  let least = Infinity;
  while (texts.nextNode()) {
    const element = texts.currentNode.parentElement;
    if (!texts.currentNode.data.trim() || element.closest("script, style, .skip, .unseen")) continue;
    least = Math.min(least, Number.parseFloat(getComputedStyle(element).fontSize));
  }
  return least;
}

function listen(page, seen) {
  page.on("console", (said) => seen.console.push(`${said.type()}: ${said.text()}`));
  page.on("pageerror", (error) => seen.console.push(`error: ${error.message}`));
  page.on("request", (asked) => {
    if (asked.url() !== address) seen.requests.push(asked.url().slice(0, 200));
  });
}

const context = await chromium.launchPersistentContext(profile, {
  executablePath: process.env.SCANT_CHROMIUM || "/usr/bin/chromium",
  headless: true,
  args: flags,
});
const found = { views: [], papers: [], invalid: [] };
try {
  for (const { name, width, height, touch, scheme } of VIEWS) {
    const seen = { name, console: [], requests: [] };
    const page = await context.newPage();
    listen(page, seen);
    await page.setViewportSize({ width, height });
    await page.emulateMedia({ colorScheme: scheme ?? "light" });
    await page.goto(address, { waitUntil: "load" });
    seen.broken = await page.evaluate(broken);
    seen.smallest = await page.evaluate(smallest);
    seen.paper = await page.evaluate(() => getComputedStyle(document.body).backgroundColor);
    const first = page.locator("main input").first();
    if ((await first.count()) > 0) {
      await first.check();
      await page.reload({ waitUntil: "load" });
      seen.kept = await first.isChecked();
      await first.uncheck();
    }
    seen.title = await page.title();
    seen.sticking = await page.evaluate(sticking);
    seen.small = touch ? await page.evaluate(small) : 0;
    if (pictures) {
      await page.screenshot({ path: join(pictures, `${name}.png`), fullPage: true });
    }
    const before = seen.console.length;
    await page.evaluate(axe);
    const result = await page.evaluate((tags) => globalThis.axe.run({ runOnly: tags }), TAGS);
    // What axe-core itself says is no fault of the page.
    seen.console.length = before;
    seen.passes = result.passes.length;
    seen.violations = result.violations.map(
      (one) => `${one.id}: ${one.help}: ${one.nodes.map((node) => node.html.slice(0, 160)).slice(0, 3).join(" | ")}`,
    );
    await page.addStyleTag({ content: SPACED });
    seen.spaced = await page.evaluate(sticking);
    await page.close();
    found.views.push(seen);
  }
  for (const { name, width } of PAPERS) {
    const seen = { name, console: [], requests: [] };
    const page = await context.newPage();
    listen(page, seen);
    await page.setViewportSize({ width, height: 1000 });
    await page.emulateMedia({ media: "print" });
    await page.goto(address, { waitUntil: "load" });
    seen.sticking = await page.evaluate(sticking);
    // On paper nothing can be scrolled to.
    seen.cut = await page.evaluate(() => {
      const wide = [...document.querySelectorAll(".scroll")];
      const most = document.documentElement.clientWidth + 1;
      return wide.filter((one) => one.scrollWidth > most).map((one) => one.outerHTML.slice(0, 120));
    });
    const path = pictures ? join(pictures, `${name}.pdf`) : undefined;
    const pdf = await page.pdf({ format: name, path, preferCSSPageSize: false });
    seen.pages = (pdf.toString("latin1").match(/\/Type\s*\/Page\b/g) ?? []).length;
    await page.close();
    found.papers.push(seen);
  }
} finally {
  await context.close();
  rmSync(profile, { recursive: true, force: true });
}

const rules = new HtmlValidate(
  new StaticConfigLoader({
    root: true,
    extends: ["html-validate:standard", "html-validate:a11y"],
    // The page is one file by design, and its SVG comes from a crate.
    rules: { "no-inline-style": "off" },
  }),
);
const report = await rules.validateFile(resolve(file));
for (const result of report.results) {
  for (const one of result.messages) {
    found.invalid.push(`${one.line}:${one.column} ${one.ruleId}: ${one.message}`);
  }
}
console.log(JSON.stringify(found));
