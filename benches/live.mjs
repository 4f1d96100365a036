// Times what a cook waits for: from a change on the live screen to the new week on it, in headless
// Chromium, and the plain command that asks the same, one after the other in one run.
//
//     node benches/live.mjs MODULES SCANT KITCHEN [CHANGES]
//
// MODULES is the folder that holds node_modules (playwright-core), SCANT the program, KITCHEN a folder
// or `-` for the demo, CHANGES how many (200 if left out). Chromium: SCANT_CHROMIUM, else
// /usr/bin/chromium. Printed in milliseconds: median, 95th and 99th percentile (the nearest rank) and
// the worst. The clock of the screen starts before the control tells of its change and stops at the frame
// after the one that has the answer. What is worked out beside goes on meanwhile, as it does for a cook;
// while the plain command runs the server is stopped, so that neither slows the other.

import { createRequire } from "node:module";
import { spawn, spawnSync } from "node:child_process";
import { mkdtempSync, rmSync } from "node:fs";
import { tmpdir } from "node:os";
import { join, resolve } from "node:path";

const [modules, scant, kitchen, wanted = "200"] = process.argv.slice(2);
const require = createRequire(join(resolve(modules), "node_modules", "x.js"));
const { chromium } = require("playwright-core");
const PAUSE = 300;

function start() {
  const args = ["live", "--limit", "60", ...(kitchen === "-" ? [] : [kitchen])];
  const child = spawn(scant, args, { stdio: ["ignore", "pipe", "inherit"] });
  return new Promise((done, failed) => {
    let text = "";
    child.stdout.on("data", (data) => {
      text += data;
      if (text.includes("\n")) done({ child, address: text.split("\n")[0] });
    });
    child.on("exit", (code) => failed(new Error(`ended with ${code}`)));
  });
}

/** In the page: makes the change and returns the milliseconds to the frame that shows its answer. */
function changed({ kind, id, value }) {
  const number = () => Number(document.getElementById("said").dataset.number);
  const before = number();
  const control = document.getElementById(id);
  if (!control || control.getAttribute("aria-disabled") === "true") return null;
  const begin = performance.now();
  if (kind === "click") control.click();
  if (kind === "radio") {
    control.checked = true;
    control.dispatchEvent(new Event("change", { bubbles: true }));
  }
  if (kind === "fill") {
    if (control.value === value) return null;
    control.value = value;
    control.dispatchEvent(new Event("change", { bubbles: true }));
  }
  return new Promise((done) => {
    const look = () => {
      const proving = document.getElementById("top").classList.contains("proving");
      if (number() > before && !proving) {
        requestAnimationFrame(() => setTimeout(() => done(performance.now() - begin)));
      } else if (performance.now() - begin > 120000) {
        done(null);
      } else {
        setTimeout(look, 1);
      }
    };
    look();
  });
}

/** The next change: one of each kind in turn, and back to the kitchen as it is after every sixth. */
async function next(page, turn) {
  const round = Math.floor(turn / 7);
  const day = 1 + (round % 5);
  switch (turn % 7) {
    case 0:
      return { kind: "click", id: `not-${day}` };
    case 1:
      return { kind: "click", id: `keep-${1 + ((round + 2) % 5)}` };
    case 2: {
      const now = Number(await page.inputValue("#value-eaters")) || 0;
      return { kind: "fill", id: "value-eaters", value: String(now === 2 ? 3 : 2) };
    }
    case 3: {
      const foods = await page.evaluate(() => document.querySelectorAll("#foods .bought").length);
      return { kind: "fill", id: "value-foods", value: String(foods + (round % 3)) };
    }
    case 4: {
      const ids = await page.evaluate(() =>
        [...document.querySelectorAll("#foods .bought input[value=leave]:not(:checked)")].map((one) => one.id),
      );
      return { kind: "radio", id: ids[round % Math.max(ids.length, 1)] ?? "none" };
    }
    case 5:
      return { kind: "click", id: "undo" };
    default:
      return { kind: "click", id: "step-0" };
  }
}

function told(name, all) {
  const sorted = [...all].sort((a, b) => a - b);
  const rank = (share) => sorted[Math.max(0, Math.ceil(share * sorted.length) - 1)].toFixed(0);
  console.log(`${name}: ${sorted.length} times, median ${rank(0.5)}, 95 % ${rank(0.95)}, 99 % ${rank(0.99)}, worst ${rank(1)} ms`);
}

const profile = mkdtempSync(join(tmpdir(), "live-times-"));
const server = await start();
const context = await chromium.launchPersistentContext(profile, {
  executablePath: process.env.SCANT_CHROMIUM || "/usr/bin/chromium",
  headless: true,
  args: ["--no-sandbox", "--disable-gpu", "--no-first-run", "--disable-background-networking"],
  viewport: { width: 1280, height: 900 },
});
const [screen, plain, slow] = [[], [], []];
try {
  const page = await context.newPage();
  await page.goto(server.address, { waitUntil: "load" });
  await page.waitForFunction(() => !document.getElementById("top").classList.contains("proving"), null, { timeout: 120000 });
  for (let turn = 0; screen.length < Number(wanted); turn += 1) {
    await page.waitForTimeout(PAUSE);
    const change = await next(page, turn);
    const took = await page.evaluate(changed, change);
    // Nothing was asked: the control is not there, or says so already.
    if (took === null) continue;
    screen.push(took);
    const line = await page.evaluate(() => document.getElementById("line").textContent);
    slow.push([took, `${change.id} ${change.value ?? ""}`.trim(), line]);
    server.child.kill("SIGSTOP");
    const begin = performance.now();
    spawnSync("sh", ["-c", line.replace("scant week", 'exec "$SCANT" week --brief')], {
      env: { ...process.env, SCANT: scant },
      stdio: "ignore",
    });
    plain.push(performance.now() - begin);
    server.child.kill("SIGCONT");
  }
  told("screen", screen);
  told("command", plain);
  for (const [took, what, line] of slow.sort((a, b) => b[0] - a[0]).slice(0, 5)) {
    console.log(`  ${took.toFixed(0)} ms: ${what}: ${line}`);
  }
} finally {
  await context.close();
  server.child.removeAllListeners("exit");
  server.child.kill("SIGKILL");
  rmSync(profile, { recursive: true, force: true });
}
