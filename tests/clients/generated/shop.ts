// An online shop's program, on the generated TypeScript client: the main job for all its sizes.
// Compiled and run by test_typescript_client.py. Prints what it read of the answers.
import createClient from "openapi-fetch";
import type { components, paths } from "./tinwright.js";

type Schemas = components["schemas"];
declare const process: { argv: string[] };

const client = createClient<paths, "application/json" | "application/problem+json">({ baseUrl: process.argv[2] });

const parkin = (flour = "plain flour"): Schemas["Formula"] => ({
  name: "Ginger parkin",
  tin_shape: { shape: "square", side: "20 cm", depth: "5 cm" },
  filled_depth: "30 mm",
  egg_class: "eu_m",
  components: [
    {
      name: "batter",
      lines: [
        { ingredient: flour, quantity: "2 us_cup", packing: "spooned" },
        { ingredient: "butter", amount: "150", unit: "g" },
        { ingredient: "egg", quantity: "4 each" },
      ],
    },
    { name: "nuggets", pieces: { count: 16 }, lines: [{ ingredient: "rolled oats", quantity: "160 g" }] },
  ],
});

// One request for every size the shop sells: tins as data and as text, a factor, a mass.
async function all_sizes() {
  const targets: Schemas["Target"][] = [
    { label: "tray", tin_shape: { shape: "rectangle", length: "30 cm", width: "20 cm", depth: "5 cm" } },
    { label: "round", tin_shape: { shape: "round", diameter: "23 cm", depth: "7 cm" } },
    { label: "two squares", tin: "square 20 x 5 cm", tins: 2 },
    { label: "half", factor: 0.5 },
    { label: "a kilogram", grams: 1000 },
  ];
  const { data } = await client.POST("/v1/rescale", { body: { formula: parkin(), targets } });
  const answer = there(data);
  const first = there(answer.targets[0]);
  const echoed = there(there(first.target).tin_shape);
  if (echoed.shape !== "rectangle") throw new Error("another shape came back");
  return {
    factors: Object.fromEntries(answer.targets.map((target) => [target.label, target.factor])),
    grams: Object.fromEntries(answer.targets.map((target) => [target.label, target.grams])),
    written_grams: answer.written.grams,
    butter_grams: there(first.components?.[0]?.lines?.[1]).grams,
    eggs: there(first.eggs?.[0]?.counts[0]).count,
    pieces: there(first.components?.[1]?.pieces).count,
    echoed_shape: echoed.shape,
    echoed_length: echoed.length,
  };
}

// The union of tins: `switch` knows every shape, or this does not compile.
function upright(tin: Schemas["TinShape"]): boolean {
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
  const hexagon: Schemas["TinShape"] = { shape: "polygon", sides: 6, across_flats: "20 cm", depth: "5 cm" };
  const bucket: Schemas["TinShape"] = {
    shape: "tapered_round", top_diameter: "20 cm", base_diameter: "10 cm", depth: "6 cm",
  };
  if (!upright(hexagon) || upright(bucket)) throw new Error("shape");
  const volumes: Record<string, number> = {};
  for (const tin_shape of [hexagon, bucket]) {
    const { data } = await client.POST("/v1/tins/measure", { body: { tin_shape } });
    volumes[tin_shape.shape] = there(there(data).volume_ml);
  }
  return volumes;
}

// A single conversion by GET: its figure, a warning, and a refusal.
async function conversion() {
  const third = await client.GET("/v1/convert", { params: { query: { amount: "1/3", unit: "lb", to: "g" } } });
  const flour = await client.GET("/v1/convert", {
    params: { query: { amount: "1", unit: "us_cup", to: "g", ingredient: "plain flour" } },
  });
  const refusal = await client.GET("/v1/convert", { params: { query: { amount: "1", unit: "cup", to: "ml" } } });
  const reason = there(there(refusal.error).errors[0]);
  return {
    grams: there(third.data).amount,
    warning: there(there(flour.data).warnings[0]).code,
    status: refusal.response.status,
    parameter: reason.parameter,
    code: reason.code,
    candidates: reason.candidates,
  };
}

// A batch in which one item cannot be answered, and a table by GET.
async function column() {
  const items: Schemas["ConversionItemRequest"][] = [
    { quantity: "1 lb", to: "g" },
    { quantity: "1 us_cup", to: "g", ingredient: "plain flower" },
    { amount: "2", unit: "cup", to: "ml" },
  ];
  const { data } = await client.POST("/v1/convert", { body: { items, measures: "us" } });
  const table = await client.GET("/v1/convert/rows", { params: { query: { item: ["1|lb", "2|lb"], to: "g" } } });
  const [pound, refusal, cups] = there(data).items;
  const answered = [pound, cups, ...there(table.data).items];
  return {
    amounts: answered.map((item) => there(item?.answer).amount),
    ...reason_of(there(there(refusal).problem).errors[0]),
  };
}

// A whole request refused.
async function refused() {
  const { error, response } = await client.POST("/v1/rescale", {
    body: { formula: parkin("plain flower"), targets: [{ factor: 2 }] },
  });
  return { status: response.status, ...reason_of(there(error).errors[0]) };
}

function reason_of(reason: Schemas["ProblemError"] | undefined) {
  const { pointer, code, candidates } = there(reason);
  return { pointer, code, nearest: there(candidates)[0] };
}

function there<T>(value: T | undefined): T {
  if (value === undefined) throw new Error("left out");
  return value;
}

function never(value: never): never {
  throw new Error(String(value));
}

const done: Record<string, unknown> = {};
for (const step of [conversion, column, shapes, all_sizes, refused]) done[step.name] = await step();
console.log(JSON.stringify(done));
