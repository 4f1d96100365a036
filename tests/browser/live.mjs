// Uses the live screen as a cook would and prints what was seen as JSON.
//
//     node live.mjs MODULES SCANT KITCHEN [PICTURES]
//
// SCANT is the program, KITCHEN a folder or `-` for the demo. Asked are Chromium (SCANT_CHROMIUM,
// else /usr/bin/chromium) through playwright-core, and axe-core.

import { createRequire } from "node:module";
import { spawn } from "node:child_process";
import { mkdtempSync, readFileSync, rmSync } from "node:fs";
import { tmpdir } from "node:os";
import { join, resolve } from "node:path";

const [modules, scant, kitchen, pictures] = process.argv.slice(2);
const require = createRequire(join(resolve(modules), "node_modules", "x.js"));
const { chromium } = require("playwright-core");
const axe = readFileSync(require.resolve("axe-core/axe.min.js"), "utf8");
const TAGS = ["wcag2a", "wcag2aa", "wcag21a", "wcag21aa", "wcag22aa", "best-practice"];
const flags = [
  "--no-sandbox",
  "--disable-gpu",
  "--disable-quic",
  "--no-first-run",
  "--disable-background-networking",
  "--disable-component-update",
  "--disable-sync",
];

function start() {
  const args = ["live", "--limit", "600", ...(kitchen === "-" ? [] : [kitchen])];
  const child = spawn(scant, args, { stdio: ["ignore", "pipe", "pipe"] });
  return new Promise((done, failed) => {
    let text = "";
    child.stdout.on("data", (data) => {
      text += data;
      if (text.includes("\n")) done({ child, address: text.split("\n")[0] });
    });
    child.on("exit", (code) => failed(new Error(`ended with ${code}`)));
  });
}

const profile = mkdtempSync(join(tmpdir(), "live-profile-"));
const found = { console: [], outside: [], dialogs: [], steps: {}, views: [] };
let server = await start();
const own = new URL(server.address).origin;
/** Boxes that scroll by themselves and that no key reaches. */
const unreached = () =>
  [...document.querySelectorAll("body *")]
    .filter((one) => /auto|scroll/.test(getComputedStyle(one).overflowY) && one.scrollHeight > one.clientHeight + 1)
    .filter((one) => one.tabIndex < 0 && !one.querySelector("a[href], button, input, select"))
    .map((one) => one.outerHTML.slice(0, 120));
const context = await chromium.launchPersistentContext(profile, {
  executablePath: process.env.SCANT_CHROMIUM || "/usr/bin/chromium",
  headless: true,
  args: flags,
  viewport: { width: 1280, height: 900 },
});

// Pages without script are of a browser of their own: the other keeps its profile.
const unscripted = await chromium.launch({
  executablePath: process.env.SCANT_CHROMIUM || "/usr/bin/chromium",
  headless: true,
  args: flags,
});

const settled = (page) =>
  page.waitForFunction(() => !document.getElementById("top").classList.contains("proving"), null, { timeout: 60000 });
const text = (page, id) => page.evaluate((id) => document.getElementById(id).innerText, id);
const focus = (page) => page.evaluate(() => document.activeElement.id);
async function picture(page, name) {
  if (pictures) await page.screenshot({ path: join(pictures, `${name}.png`), fullPage: true });
}
/** Does something and waits until its question is answered. */
async function change(page, what) {
  const before = await page.evaluate(() => Number(document.getElementById("said").dataset.number));
  await what();
  await page.waitForFunction((n) => Number(document.getElementById("said").dataset.number) > n, before, { timeout: 60000 });
  await settled(page);
}
async function check(page, name) {
  const before = found.console.length;
  await page.evaluate(axe);
  const result = await page.evaluate((tags) => globalThis.axe.run({ runOnly: tags }), TAGS);
  found.console.length = before;
  const wide = await page.evaluate(() => document.documentElement.scrollWidth - document.documentElement.clientWidth);
  found.views.push({
    name,
    passes: result.passes.length,
    twice: await page.evaluate(() => [...document.querySelectorAll("[id]")].map((one) => one.id).filter((id, at, all) => all.indexOf(id) < at)),
    wide,
    violations: result.violations.map(
      (one) => `${one.id}: ${one.help}: ${one.nodes.map((node) => node.html.slice(0, 160)).slice(0, 3).join(" | ")}`,
    ),
  });
}

/** A kitchen of hostile names: every part of the screen with them in it. */
async function names(page) {
  await settled(page);
  found.foods = await page.evaluate(() => [...document.querySelectorAll("#foods legend > bdi")].map((one) => one.textContent));
  await picture(page, "first");
  await check(page, "desktop");
  await change(page, () => page.click("#keep-1"));
  await page.selectOption("#to-1", { index: 0 });
  await change(page, () => page.click("#move-1"));
  await change(page, () => page.click("#step-0"));
  await page.click("#others-1");
  await page.waitForSelector("#list-1", { timeout: 60000 });
  await change(page, () => page.click("#not-2"));
  const radio = await page.evaluate(() => {
    const rows = [...document.querySelectorAll("#foods .food")];
    return rows.find((row) => row.querySelector("legend > bdi").textContent.startsWith("</section>")).querySelector("input[value=leave]").id;
  });
  await change(page, () => page.check(`#${radio}`));
  found.line = await page.evaluate(() => document.getElementById("line").textContent);
  await picture(page, "asked");
  await page.setViewportSize({ width: 360, height: 740 });
  await check(page, "phone");
}

try {
  const page = await context.newPage();
  page.on("console", (said) => found.console.push(`${said.type()}: ${said.text()}`));
  page.on("pageerror", (error) => found.console.push(`error: ${error.message}`));
  page.on("request", (asked) => {
    // A server started again has an address of its own.
    const ours = [own, new URL(server.address).origin].some((origin) => asked.url().startsWith(origin));
    if (!ours && !asked.url().startsWith("data:")) found.outside.push(asked.url());
  });
  page.on("dialog", (dialog) => {
    found.dialogs.push(dialog.message());
    dialog.dismiss();
  });
  await page.goto(server.address, { waitUntil: "load" });
  if (kitchen !== "-") {
    await names(page);
    throw "done";
  }
  found.steps.address = page.url().replace(own, "");
  await settled(page);
  found.steps.scrolls = await page.evaluate(unreached);
  found.steps.first = { top: await text(page, "top"), week: await text(page, "week") };
  await picture(page, "first");
  await check(page, "desktop");

  // By mouse: a number, the slider by keys, a food, a lunch, undo.
  await change(page, async () => {
    await page.fill("#value-foods", "12");
    await page.press("#value-foods", "Tab");
  });
  found.steps.foods = { top: await text(page, "top"), line: await text(page, "line"), changes: await text(page, "changes") };
  await page.focus("#slide-foods");
  await change(page, () => page.keyboard.press("ArrowLeft"));
  found.steps.slider = { line: await text(page, "line"), focus: await focus(page) };
  await page.waitForTimeout(900);
  found.steps.spoken = await text(page, "speak");
  await change(page, () => page.click("#undo"));
  await change(page, () => page.click("#undo"));
  found.steps.undone = { line: await text(page, "line"), focus: await focus(page) };
  await change(page, () => page.click("#redo"));
  found.steps.redone = await text(page, "line");
  await change(page, () => page.click("#step-0"));
  await change(page, () => page.click("#not-1"));
  found.steps.not = { line: await text(page, "line"), focus: await focus(page), changes: await text(page, "changes") };
  await page.focus("#keep-2");
  await change(page, () => page.keyboard.press("Enter"));
  found.steps.keep = { line: await text(page, "line"), focus: await focus(page) };
  await page.selectOption("#to-3", { index: 0 });
  await change(page, () => page.click("#move-3"));
  found.steps.move = await text(page, "line");
  await change(page, () => page.click("#step-0"));
  await page.click("#others-2");
  await page.waitForSelector("#list-2 li", { timeout: 60000 });
  await page.waitForFunction(() => !document.getElementById("list-2").innerText.startsWith("Looking"), null, { timeout: 60000 });
  found.steps.others = await text(page, "list-2");
  await picture(page, "others");
  await change(page, () => page.click("#take-2-1"));
  found.steps.took = await text(page, "line");
  await change(page, () => page.click("#step-0"));
  // Foods: search, then a radio by keyboard.
  await page.fill("#find", "tofu");
  found.steps.found = await page.evaluate(() => [...document.querySelectorAll("#foods .food")].filter((row) => !row.hidden).length);
  const radio = await page.evaluate(() => [...document.querySelectorAll("#foods .food")].find((row) => !row.hidden).querySelector("input[type=radio]").id);
  await page.focus(`#${radio}`);
  await change(page, () => page.keyboard.press("ArrowLeft"));
  found.steps.left = { line: await text(page, "line"), focus: await focus(page) };
  await page.fill("#find", "");
  await change(page, () => page.click("#step-0"));
  // Idle: costs and ranges.
  await page.waitForFunction(() => document.getElementById("foods").innerText.includes("leaving it out"), null, { timeout: 600000 });
  await page.waitForFunction(() => document.getElementById("told-kitchen").innerText.length > 0, null, { timeout: 900000 });
  found.steps.ranges = await page.evaluate(() => ["foods", "budget", "eaters", "prep", "days", "kitchen"].map((key) => document.getElementById(`told-${key}`).innerText));
  found.steps.costs = await page.evaluate(() => [...document.querySelectorAll("#foods .bought legend")].map((one) => one.innerText));
  // The list, put in order row by row, against the list as a page loaded now has it.
  const list = (page) =>
    page.evaluate(() =>
      [...document.querySelectorAll("#foods .food")].map((row) => {
        const on = row.querySelector("input:checked");
        return [row.id, row.querySelector("legend").textContent.trim(), on && on.value].join(" | ");
      }),
    );
  const listed = async (name) => {
    const fresh = await context.newPage();
    // What is worked out beside may come in between the two: then once more.
    for (let times = 0; times < 20; times += 1) {
      await fresh.goto(own + "/", { waitUntil: "load" });
      found.steps[name] = { here: await list(page), fresh: await list(fresh) };
      if (JSON.stringify(found.steps[name].here) === JSON.stringify(found.steps[name].fresh)) break;
      await page.waitForTimeout(1100);
    }
    await fresh.close();
  };
  await listed("costs_listed");
  const bought = await page.evaluate(() => [...document.querySelectorAll("#foods .bought input[value=leave]")].map((one) => one.id));
  await change(page, () => page.check(`#${bought.at(-1)}`));
  await listed("left_listed");
  await change(page, () => page.click("#not-2"));
  await change(page, () => page.click("#undo"));
  await listed("undone_listed");
  await change(page, () => page.click("#step-0"));
  await listed("back_listed");
  await picture(page, "idle");
  // Impossible, and the nearest value as a button.
  await change(page, async () => {
    await page.fill("#value-foods", "3");
    await page.press("#value-foods", "Tab");
  });
  await page.waitForSelector("#near-foods", { timeout: 600000 });
  found.steps.impossible = { top: await text(page, "top"), dial: await text(page, "dial-foods"), week: (await text(page, "week")).split("\n")[0] };
  await picture(page, "impossible");
  await check(page, "impossible");
  await change(page, () => page.click("#near-foods"));
  found.steps.near = { top: await text(page, "top"), line: await text(page, "line") };
  // Two tabs show the same question.
  const other = await context.newPage();
  await other.goto(own + "/", { waitUntil: "load" });
  await change(page, () => page.click("#step-0"));
  await other.waitForFunction((line) => document.getElementById("line").innerText === line, await text(page, "line"), { timeout: 20000 });
  found.steps.tabs = { one: await text(page, "line"), other: await text(other, "line") };
  await other.close();
  // Phone.
  await page.setViewportSize({ width: 360, height: 740 });
  await page.goto(own + "/", { waitUntil: "load" });
  await picture(page, "phone");
  await check(page, "phone");
  await page.click('.bar a[href="#sheet-budget"]');
  await picture(page, "phone-sheet");
  found.steps.small = await page.evaluate(() =>
    [...document.querySelectorAll("button, select, .bar a, .food label, input[type=number]")]
      .filter((one) => one.getBoundingClientRect().height > 0 && one.getBoundingClientRect().height < 47.5)
      .map((one) => one.outerHTML.slice(0, 100)),
  );
  await check(page, "phone sheet");
  // Dark, zoomed to 200 %, print.
  await page.setViewportSize({ width: 640, height: 450 });
  await page.goto(own + "/", { waitUntil: "load" });
  await check(page, "zoomed");
  await page.setViewportSize({ width: 1280, height: 900 });
  await page.emulateMedia({ colorScheme: "dark" });
  await picture(page, "dark");
  await check(page, "dark");
  await page.emulateMedia({ colorScheme: "light" });
  await page.goto(own + "/sheet", { waitUntil: "load" });
  found.steps.sheet = await page.title();
  await page.goto(own + "/keep", { waitUntil: "load" });
  found.steps.kept = await page.evaluate(() => document.body.innerText);
  await page.goto(own + "/", { waitUntil: "load" });
  // Without script, at twice the size: a limit and the foods are opened by their links.
  const plain = await unscripted.newContext({ javaScriptEnabled: false, viewport: { width: 640, height: 450 } });
  await plain.addCookies(await context.cookies());
  const bare = await plain.newPage();
  const asked = async (control) => {
    await control.click();
    await bare.waitForLoadState("load");
    await bare.waitForSelector("#top:not(.proving)", { timeout: 60000 });
    return bare.innerText("#line");
  };
  await bare.goto(own + "/", { waitUntil: "load" });
  await bare.click('.bar a[href="#sheet-foods"]');
  await bare.fill("#value-foods", "12");
  found.steps.plain = { line: await asked(bare.locator("#dial-foods form button.plain").first()) };
  await bare.click('.bar a[href="#sheet-list"]');
  await bare.fill("#find", "tofu");
  await asked(bare.locator(".find button"));
  await bare.click('.bar a[href="#sheet-list"]');
  const tofu = bare.locator("#foods .food", { has: bare.getByText("firm tofu", { exact: true }) }).first();
  await tofu.locator("input[value=leave]").check();
  found.steps.plain.word = await asked(tofu.locator("button.plain"));
  const root = bare.locator("html");
  found.steps.plain.wide = await root.evaluate((html) => html.scrollWidth - html.clientWidth);
  if (pictures) await bare.screenshot({ path: join(pictures, "plain.png"), fullPage: true });
  await plain.close();
  // The server killed: the page says so. Started again, its new address opens.
  await page.goto(own + "/", { waitUntil: "load" });
  server.child.removeAllListeners("exit");
  server.child.kill("SIGKILL");
  await page.waitForFunction(() => document.getElementById("top").classList.contains("stale"), null, { timeout: 20000 });
  found.steps.gone = await text(page, "top");
  server = await start();
  await page.goto(server.address, { waitUntil: "load" });
  await settled(page);
  found.steps.again = await text(page, "top");
  await page.close();
} catch (error) {
  if (error !== "done") found.error = String(error.stack || error);
} finally {
  await unscripted.close();
  await context.close();
  server.child.removeAllListeners("exit");
  server.child.kill("SIGKILL");
  rmSync(profile, { recursive: true, force: true });
}
console.log(JSON.stringify(found, null, 1));
