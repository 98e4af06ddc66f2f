// Drives the customer's page in headless Chromium against a running server with the demo's shop:
// accept, decline, mistakes, expired and revoked links; axe-core on every state, light, dark, on a
// phone; nothing fetched from outside; pictures of it all for people to look at.
//
//   node drive_page.mjs BASE KEY FOLDER MODULES CHROMIUM
import { createRequire } from "node:module";
import { mkdirSync, writeFileSync } from "node:fs";
import assert from "node:assert/strict";

const [base, key, folder, modules, chromium] = process.argv.slice(2);
const require = createRequire(`${modules}/`);
const puppeteer = require("puppeteer-core");
const axe = require("axe-core").source;
mkdirSync(folder, { recursive: true });

const api = async (method, path, body) => {
  const answer = await fetch(base + path, {
    method,
    headers: { authorization: `Bearer ${key}`, "content-type": "application/json" },
    body: body === undefined ? undefined : JSON.stringify(body),
  });
  const text = await answer.text();
  assert.ok(answer.ok, `${method} ${path}: ${answer.status} ${text}`);
  return JSON.parse(text);
};

const script = `<script>document.title="run"</script><img src=x onerror='document.title="run"'>`;
const manifold = (mark, count) => ({
  mark, quantity: 2, service: "hydronic_heating", design_pressure: "75 psi", design_temperature: "180 degF",
  build: "formed_outlets",
  run: { tube: "b88-l-2", ends: [{ kind: "cap" }, { kind: "plain", beyond: "4 in" }] },
  outlets: [{ tube: "b88-l-1", count, first: "4 in", pitch: "5 in", stub: "3 in" }],
});
const issued = async (more = {}) => {
  const made = await api("POST", "/v1/quotes", {
    customer: { name: `Saltmarsh & Daughters ${script}`, contact: "R. Ashdown", address: ["18 Saltmarsh Road", "Penwick"] },
    project: `Plant room ${script}`, note: `Thank you for asking.\n\n${script}`,
    manifolds: [manifold("H-1", 6), manifold("H-2", 4)],
    ...more,
  });
  await api("POST", `/v1/quotes/${made.number}/issue`, {});
  return made.number;
};
const link = async (number) => {
  const made = await api("POST", `/v1/quotes/${number}/links`, { label: "browser" });
  return { url: base + made.path, id: made.link.id };
};

const browser = await puppeteer.launch({
  executablePath: chromium,
  args: ["--no-sandbox", "--disable-gpu"],
});
const page = await browser.newPage();
const outside = [];
const complaints = [];
page.on("request", (request) => {
  const url = request.url();
  if (!url.startsWith(base) && !url.startsWith("data:")) outside.push(url);
});
page.on("console", (message) => {
  // A refused answer has its status on the console; everything else is a fault of the page.
  if (message.type() === "error" && !/status of 4\d\d/.test(message.text())) complaints.push(message.text());
});
page.on("pageerror", (error) => complaints.push(String(error)));

const looks = [
  ["light", { width: 1100, height: 900 }, "light"],
  ["dark", { width: 1100, height: 900 }, "dark"],
  ["phone", { width: 360, height: 740, isMobile: true, deviceScaleFactor: 2 }, "light"],
  ["phone-dark", { width: 360, height: 740, isMobile: true, deviceScaleFactor: 2 }, "dark"],
];
let checked = 0;
/** Looks at the page as it is now, in every light and size. */
const examine = async (name) => {
  for (const [look, viewport, scheme] of looks) {
    await page.setViewport(viewport);
    await page.emulateMediaFeatures([{ name: "prefers-color-scheme", value: scheme }]);
    const wide = await page.evaluate(() => document.documentElement.scrollWidth - window.innerWidth);
    assert.ok(wide <= 0, `${name} ${look}: ${wide} px run off the side`);
    // The policy of the page lets no script in: axe runs in a world of its own.
    const found = await isolated(`${axe}; axe.run(document, { runOnly: ["wcag2a", "wcag2aa", "wcag21a", "wcag21aa", "wcag22aa", "best-practice"] }).then((r) => JSON.stringify({ passes: r.passes.length, violations: r.violations.map((v) => [v.id, v.nodes.map((n) => n.html + n.failureSummary)]) }))`);
    assert.ok(found.passes > 5, `${name} ${look}: axe looked at nothing`);
    assert.deepEqual(found.violations, [], `${name} ${look}`);
    checked += 1;
    await page.screenshot({ path: `${folder}/${name}-${look}.png`, fullPage: true });
  }
  await page.setViewport(looks[0][1]);
  await page.emulateMediaFeatures([{ name: "prefers-color-scheme", value: "light" }]);
  assert.notEqual(await page.title(), "run");
};
const client = await page.createCDPSession();
const isolated = async (expression) => {
  const { frameTree } = await client.send("Page.getFrameTree");
  const { executionContextId } = await client.send("Page.createIsolatedWorld", { frameId: frameTree.frame.id, worldName: "axe" });
  const answer = await client.send("Runtime.evaluate", { expression, contextId: executionContextId, awaitPromise: true, returnByValue: true });
  assert.ok(!answer.exceptionDetails, JSON.stringify(answer.exceptionDetails));
  return JSON.parse(answer.result.value);
};
const press = async (form) => {
  await Promise.all([page.waitForNavigation(), page.click(`form[action*="${form}"] button`)]);
};
const text = () => page.evaluate(() => document.body.innerText);

// Open, mistakes, accepted, accepted twice.
const first = await issued();
const one = await link(first);
await page.goto(one.url);
await examine("open");
assert.ok((await text()).includes("<script>"), "script in a text field is shown as text");
await page.emulateMediaType("print");
writeFileSync(`${folder}/print.pdf`, await page.pdf({ format: "letter", preferCSSPageSize: true }));
await page.emulateMediaType("screen");
await press("/accept");
assert.ok((await text()).includes("Enter your name."));
await examine("mistakes");
const described = await page.$eval("#accept-name", (field) => field.getAttribute("aria-describedby").split(" ").map((id) => document.getElementById(id).textContent));
assert.ok(described.includes("Enter your name."), String(described));
// From the message to each field that is marked.
const mend = await page.$$eval('[role=alert] a', (links) => links.map((link) => link.getAttribute("href")));
assert.deepEqual(mend, ["#accept-name", "#accept-agree"]);
for (const to of mend) assert.equal(await page.$eval(to, (field) => field.getAttribute("aria-invalid")), "true", to);
await page.type("#accept-name", "Jo Tiller");
await page.type("#accept-po_number", "PO-771");
await page.click('form[action*="/accept"] input[type=checkbox]');
const elsewhere = await browser.newPage();
await elsewhere.goto(one.url);
await page.bringToFront();
await press("/accept");
assert.ok((await text()).includes("Accepted by Jo Tiller"), await text());
assert.equal(page.url().split("#")[0], one.url);
await examine("accepted");
await elsewhere.bringToFront();
await elsewhere.type("#accept-name", "Somebody Else");
await elsewhere.click('form[action*="/accept"] input[type=checkbox]');
await Promise.all([elsewhere.waitForNavigation(), elsewhere.click('form[action*="/accept"] button')]);
const late = await elsewhere.evaluate(() => document.body.innerText);
assert.ok(late.includes("no longer open") && late.includes("Accepted by Jo Tiller"), late);
await elsewhere.close();
await page.bringToFront();
const kept = await api("GET", `/v1/quotes/${first}`);
assert.equal(kept.state, "accepted");
assert.equal(kept.po_number, "PO-771");

// Declined, with the keyboard alone.
const second = await issued();
const two = await link(second);
await page.goto(two.url);
await page.focus("#decline-reason");
await page.keyboard.type("Too late for the job");
await page.keyboard.press("Tab");
await page.keyboard.press("Space");
await page.keyboard.press("Tab");
await Promise.all([page.waitForNavigation(), page.keyboard.press("Enter")]);
assert.ok((await text()).includes("Too late for the job"));
await examine("declined");
assert.equal((await api("GET", `/v1/quotes/${second}`)).state, "declined");

// One price for the schedule, with alternates and additions; a build chosen with the arrow keys.
const tees = manifold("H-1T", 6);
tees.build = "tees_brazed";
tees.run.ends[1].beyond = "6 in";
Object.assign(tees.outlets[0], { first: "6 in", pitch: "7 in" });
const optional = await issued({
  presentation: "lump_sum",
  options: [
    { name: "Built up from tees", instead_of: "H-1", manifold: tees },
    { name: "Eight outlets", instead_of: "H-1", manifold: manifold("H-1E", 8) },
    { name: `Spare ${script.slice(0, 20)}`, manifold: manifold("S-1", 2) },
  ],
});
for (const form of ["pdf", "json", "ubl", "xlsx", "html"]) {
  const paper = await fetch(`${base}/v1/quotes/${optional}/revisions/1/document?format=${form}`, { headers: { authorization: `Bearer ${key}` } });
  assert.equal(paper.status, 200);
  const ending = form === "ubl" ? "xml" : form;
  writeFileSync(`${folder}/one-price.${ending}`, Buffer.from(await paper.arrayBuffer()));
}
const options = await link(optional);
await page.goto(options.url);
await examine("options");
await page.emulateMediaType("print");
writeFileSync(`${folder}/options-print.pdf`, await page.pdf({ format: "letter", preferCSSPageSize: true }));
await page.emulateMediaType("screen");
await page.click("input[name=option]");
await page.focus('input[name="alternate-1"][value=""]');
await page.keyboard.press("ArrowDown");
await press("/accept");
assert.ok((await text()).includes("Enter your name."));
const kept_choice = await page.$$eval("input:checked", (boxes) => boxes.map((box) => box.value));
assert.ok(kept_choice.includes("Built up from tees") && kept_choice.length === 2, String(kept_choice));
await examine("options-mistakes");
await page.type("#accept-name", "Jo Tiller");
await page.click("input[name=agree]");
await press("/accept");
const taken = await api("GET", `/v1/quotes/${optional}`);
assert.equal(taken.ordered.options.length, 2);
const gross = taken.ordered.totals.gross.amount;
assert.ok((await text()).replaceAll(",", "").includes(gross), `${gross} is not in ${await text()}`);
assert.ok((await text()).includes("What was ordered"));
await examine("options-ordered");

// Superseded, revoked, unknown.
const third = await issued();
const three = await link(third);
await api("POST", `/v1/quotes/${third}/revisions`);
await api("POST", `/v1/quotes/${third}/issue`, {});
await page.goto(three.url);
assert.ok((await text()).includes("A later revision has taken the place"));
await examine("superseded");
await api("POST", `/v1/links/${three.id}/revoke`);
await page.goto(three.url);
assert.ok((await text()).includes("revoked"));
await examine("revoked");
await page.goto(`${base}/q/nothing`);
await examine("unknown");

await browser.close();
assert.deepEqual(outside, [], "the page asks for nothing from outside");
assert.deepEqual(complaints, []);
console.log(`the customer's page: ${checked} looks without a fault`);
