// Makes a kit with the generated types, against the server whose address is the first argument.
import createClient from "openapi-fetch";
import type { components, paths } from "./api.d.ts";

const client = createClient<paths>({ baseUrl: process.argv[2] });
const request: components["schemas"]["KitRequest"] = {
  title: "Typed",
  units: "in",
  pieces: [
    { id: "A", shape: { kind: "hexagon", side: "1" }, quantity: 4, seam_allowance: "1/4" },
  ],
  runs: [{ cut: "template", cutter: "drag-blade-sheet", formats: ["svg"] }],
};
// @ts-expect-error a hexagon has no diameter
const wrong: components["schemas"]["Shape"] = { kind: "hexagon", diameter: "1 in" };
void wrong;

const made = await client.POST("/v1/kits", { body: request });
// A kit comes as JSON or as a zip, without an Accept header as JSON; a job only where it is asked for.
if (typeof made.data !== "object" || !("runs" in made.data)) {
  throw new Error(`not made: ${JSON.stringify(made.error ?? made.data)}`);
}
const load = made.data.runs[0]?.loads[0];
if (load?.outlines["A"] !== 4) throw new Error("not four pieces");
const fetched = await client.GET("/v1/kits/{kit_id}", { params: { path: { kit_id: made.data.id } } });
if (typeof fetched.data !== "object" || fetched.data.title !== "Typed") throw new Error("not the same kit");
const zip = await client.GET("/v1/kits/{kit_id}", {
  params: { path: { kit_id: made.data.id } },
  headers: { Accept: "application/zip" },
  parseAs: "arrayBuffer",
});
if (!(zip.data as unknown as ArrayBuffer).byteLength) throw new Error("no zip");
const refused = await client.POST("/v1/kits", { body: { ...request, pieces: [] } });
if (refused.error?.type !== "/problems#schema-mismatch") throw new Error("not refused");
console.log("made", made.data.id);
