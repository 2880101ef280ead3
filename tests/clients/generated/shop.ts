// An online shop's program, on the generated TypeScript client as it came: the main job for all its sizes.
// Compiled and run by test_typescript_client.py. Prints what it understood of the answers.
import createClient from "openapi-fetch";
import type { components, paths } from "./tinwright.js";

type Schemas = components["schemas"];
declare const process: { argv: string[] };

const client = createClient<paths, "application/json" | "application/problem+json">({ baseUrl: process.argv[2] });

const parkin = (flour = "plain flour"): Schemas["FormulaIn"] => ({
  name: "Ginger parkin",
  tin: { shape: "square", side: "20 cm", depth: "5 cm" },
  filled_depth: "30 mm",
  egg_class: "eu_m",
  components: [
    {
      name: "batter",
      lines: [
        { ingredient: flour, quantity: "2 us_cup", packing: "spooned" },
        { ingredient: "butter", quantity: { amount: 150, unit: "g" } },
        { ingredient: "egg", quantity: { amount: "4", unit: "each" } },
      ],
    },
    { name: "nuggets", pieces: { count: 16 }, lines: [{ ingredient: "rolled oats", quantity: "160 g" }] },
  ],
});

// One call for every size the shop sells: tins as objects and as text, a factor, a mass.
async function all_sizes() {
  const tray: Schemas["TinObject"] = {
    shape: "rectangle", length: { amount: 30, unit: "cm" }, width: "20 cm", depth: "5 cm",
  };
  const targets: Schemas["TargetIn"][] = [
    { label: "tray", tin: tray },
    { label: "round", tin: { shape: "round", diameter: "23 cm", depth: "7 cm" } },
    { label: "two squares", tin: "square 20 x 5 cm", tins: 2 },
    { label: "half", factor: 0.5 },
    { label: "a kilogram", grams: 1000 },
  ];
  const { data } = await client.POST("/v1/rescale", { body: { formula: parkin(), targets } });
  const first = there(there(data).targets[0]);
  const tin = there(first.tin);
  if (typeof tin === "string" || tin.shape !== "rectangle" || typeof tin.length === "string") throw new Error("echo");
  return {
    factors: Object.fromEntries(there(data).targets.map((target) => [target.label, target.factor])),
    grams: Object.fromEntries(there(data).targets.map((target) => [target.label, target.grams])),
    written_grams: there(data).formula.grams,
    butter_grams: there(first.components[0]?.lines[1]).grams,
    eggs: there(first.eggs[0]?.counts[0]).count,
    pieces: there(first.components[1]?.pieces).count,
    echoed_shape: tin.shape,
    echoed_length: tin.length.amount,
  };
}

// The union of tins: `switch` knows every shape, or this does not compile.
function upright(tin: Schemas["TinObject"]): boolean {
  switch (tin.shape) {
    case "square":
    case "rectangle":
    case "round":
    case "ring":
    case "polygon":
      return true;
    case "tapered_rectangle":
      return tin.top_length === tin.base_length;
    case "tapered_round":
      return tin.top_diameter === tin.base_diameter;
    case "cavities":
      return tin.count === 1;
    case "measured":
      return tin.base_area !== undefined;
    default:
      return never(tin);
  }
}

async function shapes() {
  const hexagon: Schemas["TinObject"] = { shape: "polygon", sides: 6, across_flats: "20 cm", depth: "5 cm" };
  const bucket: Schemas["TinObject"] = {
    shape: "tapered_round", top_diameter: "20 cm", base_diameter: "10 cm", depth: "6 cm",
  };
  if (!upright(hexagon) || upright(bucket)) throw new Error("shape");
  const found: Record<string, number> = {};
  for (const tin of [hexagon, bucket]) {
    const { data } = await client.POST("/v1/tins/measure", { body: { tin } });
    found[tin.shape] = there(there(data).volume_ml);
  }
  return found;
}

// A batch in which one item cannot be answered, and the single question by GET.
async function column() {
  const items: Schemas["ConvertItem"][] = [
    { quantity: "1 lb", to: "g" },
    { quantity: "1 us_cup", to: "g", ingredient: "flowerpot" },
    { quantity: { amount: 2, unit: "cup" }, to: "ml" },
  ];
  const { data } = await client.POST("/v1/convert", { body: { items, measures: "us" } });
  const [pound, refusal, cups] = there(data).items;
  const one = await client.GET("/v1/convert", { params: { query: { amount: "1 1/2", unit: "lb", to: "g" } } });
  const many = await client.GET("/v1/convert", { params: { query: { item: ["1|lb", "2|lb"], to: "g" } } });
  const single = there(one.data);
  const rows = there(many.data);
  if (!("amount" in single) || !("items" in rows)) throw new Error("one or many");
  if (!refusal || !("problem" in refusal)) throw new Error("not refused");
  return { amounts: [amount(pound), amount(cups), single.amount], rows: rows.items.length, ...reported(refusal.problem) };
}

function amount(result: Schemas["ConvertResult"] | undefined): number {
  if (!result || "problem" in result) throw new Error("refused");
  return result.amount;
}

// Two slabs, one of which cannot be cut so.
async function cutting() {
  const good: Schemas["CutSlabIn"] = { tin: "rectangle 30 x 20 x 5 cm", rows: 3, columns: 4 };
  const wrong = await client.POST("/v1/cuts", { body: { tins: [good, { tin: "round 20 x 5 cm", rows: 0 }] } });
  const { data } = await client.POST("/v1/cuts", { body: { tins: [good, { tin: "no such tin", wedges: 8 }] } });
  const answer = there(data);
  if (!("tins" in answer)) throw new Error("one or many");
  const [slab, bad] = answer.tins;
  if (!slab || !("pieces" in slab) || !bad || !("problem" in bad)) throw new Error("per tin");
  return {
    count: slab.pieces, area_mm2: slab.piece.area_mm2, schema: reported(there(wrong.error)), ...reported(bad.problem),
  };
}

// A whole request refused.
async function refused() {
  const { error, response } = await client.POST("/v1/rescale", {
    body: { formula: parkin("flowerpot"), targets: [{ factor: 2 }] },
  });
  const problem = there(error);
  return { status: response.status, same_status: problem.status, ...reported(problem) };
}

function reported(problem: Schemas["Problem"]) {
  const first = there(problem.errors[0]);
  return { pointer: first.pointer, code: first.code, candidates: Array.isArray(first.candidates) };
}

function there<T>(value: T | undefined | null): T {
  if (value === undefined || value === null) throw new Error("left out");
  return value;
}

function never(value: never): never {
  throw new Error(String(value));
}

const done: Record<string, unknown> = {};
for (const step of [all_sizes, shapes, column, cutting, refused]) done[step.name] = await step();
console.log(JSON.stringify(done));
