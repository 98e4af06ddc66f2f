// Opens the pages of the service itself in headless Chromium: the front page, problems, rules, and the
// reference under /docs. Nothing may be fetched from outside, nothing complained of; axe-core looks at
// what is ours. The faults of the vendored Swagger UI are its own; they are counted, not held.
//
//   node drive_docs.mjs BASE FOLDER MODULES CHROMIUM
import { createRequire } from "node:module";
import { mkdirSync } from "node:fs";
import assert from "node:assert/strict";

const [base, folder, modules, chromium] = process.argv.slice(2);
const require = createRequire(`${modules}/`);
const puppeteer = require("puppeteer-core");
const axe = require("axe-core").source;
mkdirSync(folder, { recursive: true });

const browser = await puppeteer.launch({ executablePath: chromium, args: ["--no-sandbox", "--disable-gpu"] });
const page = await browser.newPage();
const outside = [];
const complaints = [];
page.on("request", (request) => {
  const url = request.url();
  if (!url.startsWith(base) && !/^(data|blob):/.test(url)) outside.push(url);
});
page.on("console", (message) => {
  // A page that is not there says so on the console, too.
  if (message.type() === "error" && !/status of 4\d\d/.test(message.text())) complaints.push(message.text());
});
page.on("pageerror", (error) => complaints.push(String(error)));
const faults = async () => {
  await page.evaluate(axe);
  return page.evaluate(async () => {
    const found = await window.axe.run(document, { runOnly: ["wcag2a", "wcag2aa", "wcag21a", "wcag21aa", "wcag22aa", "best-practice"] });
    return { passes: found.passes.length, violations: found.violations.map((v) => [v.id, v.nodes.map((n) => n.html + n.failureSummary)]) };
  });
};

const rules = await (await fetch(`${base}/rules?format=json`)).json();
const problems = await (await fetch(`${base}/problems?format=json`)).json();
assert.ok(rules.items.length > 10 && problems.items.length > 20);
const ours = ["/", "/problems", problems.items[0].type, "/problems/stale", "/rules", `/rules/${rules.items[0].rule ?? rules.items[0].id}`];
let checked = 0;
for (const path of ours) {
  for (const scheme of ["light", "dark"]) {
    await page.emulateMediaFeatures([{ name: "prefers-color-scheme", value: scheme }]);
    const answer = await page.goto(base + path);
    assert.equal(answer.status(), 200, path);
    const found = await faults();
    assert.ok(found.passes > 5, `${path}: axe looked at nothing`);
    assert.deepEqual(found.violations, [], `${path} ${scheme}`);
    checked += 1;
    await page.screenshot({ path: `${folder}/${path.replaceAll("/", "_")}-${scheme}.png` });
  }
}

await page.emulateMediaFeatures([{ name: "prefers-color-scheme", value: "light" }]);
await page.setViewport({ width: 1100, height: 900 });
await page.goto(`${base}/docs/`, { waitUntil: "networkidle0" });
await page.waitForSelector(".opblock", { timeout: 60_000 });
const shown = await page.$$eval(".opblock", (blocks) => blocks.length);
const document_ = await (await fetch(`${base}/openapi.json`)).json();
const described = Object.values(document_.paths).flatMap((item) => Object.keys(item)).length;
assert.equal(shown, described, "every call is shown");
await page.screenshot({ path: `${folder}/docs.png` });
const theirs = await faults();
assert.deepEqual(outside, [], "something was fetched from outside");
assert.deepEqual(complaints, [], "the console complains");
console.log(`${checked} views of ours without fault; /docs shows ${shown} calls and fetches nothing from outside; Swagger UI's own faults: ${theirs.violations.map(([id, nodes]) => `${id} ${nodes.length}`).join(", ") || "none"}`);
await browser.close();
