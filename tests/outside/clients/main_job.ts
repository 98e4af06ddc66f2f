// What another shop tool does, through types made by openapi-typescript: check a design, lay it out, plan the
// cuts, and pull the totals. `node built/main_job.js http://127.0.0.1:PORT KEY REPOSITORY`, after main_job.py.
import assert from "node:assert/strict";
import { readFileSync } from "node:fs";
import createClient from "openapi-fetch";
import type { components, paths } from "./offtake.js";

const [base, key, repository] = process.argv.slice(2);
assert(base && key && repository);
const client = createClient<paths>({ baseUrl: base, headers: { Authorization: `Bearer ${key}` } });

const manifold: components["schemas"]["ManifoldIn"] = {
  mark: "H-1",
  quantity: 2,
  service: "hydronic_heating",
  design_pressure: "75 psi",
  design_temperature: "180 degF",
  build: "formed_outlets",
  run: { tube: "b88-l-2", ends: [{ kind: "cap" }, { kind: "plain", beyond: "4 in" }] },
  outlets: [{ tube: "b88-l-1", count: 6, first: "4 in", pitch: "5 in", stub: "3 in" }],
};

const checked = await client.POST("/v1/manifolds/check", { body: { manifolds: [manifold] } });
assert(checked.data, JSON.stringify(checked.error));
assert.equal(checked.data.summary.ok, 1);

const wrong = { ...manifold, outlets: [{ ...manifold.outlets[0]!, tube: "b88-l-9" }] };
const bad = await client.POST("/v1/manifolds/check", { body: { manifolds: [wrong] } });
assert.equal(bad.data?.summary.failed, 1);

const plan = await client.POST("/v1/cut-plans", { body: { manifolds: [manifold], kerf: "1/16 in" } });
assert(plan.data && typeof plan.data === "object", JSON.stringify(plan.error));
assert(plan.data.sticks.length > 0);

const totals = await client.GET("/v1/quote-totals", { params: { query: { state: "accepted" } } });
assert(totals.data && typeof totals.data === "object", JSON.stringify(totals.error));
assert(totals.data.items.length > 0);

const sheet = readFileSync(`${repository}/examples/schedule.csv`, "utf8");
const priced = await client.POST("/v1/schedules", {
  params: { query: { format: "json" } },
  headers: { "Content-Type": "text/csv" },
  body: sheet,
  bodySerializer: (body) => body as string,
});
assert(priced.data && typeof priced.data === "object", JSON.stringify(priced.error));
assert.equal(priced.data.summary.failed, 0);

const refused = await client.POST("/v1/estimates", { body: { manifolds: [] } });
assert.equal(refused.response.status, 422);
assert(refused.error && refused.error.errors && refused.error.errors.length > 0);
console.log(`typescript client: ${totals.data.items.length} accepted, sheet net ${priced.data.net.amount}`);
