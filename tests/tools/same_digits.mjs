// Works out tests/cases/trade/same_digits.csv in a script engine, from the written forms of the functions and from
// the tables in src/, and counts the answers that differ in any digit from what Rust gives. Run from the project's
// root with a JavaScript engine: node tests/tools/same_digits.mjs
// Only + - * / sqrt, comparisons and floor are used: what a page may use. A page's script can take these steps as they stand.
import { readFileSync, readdirSync } from "node:fs";

const read = (path) => readFileSync(path, "utf8");
const list = (text) => text.split(",").map((t) => t.trim()).filter(Boolean).map(Number);

// ---- logarithm and power of e: src/trade/logs.rs ----
const LN2_HIGH = 0.6931471803691238, LN2_LOW = 1.9082149292705877e-10, LN2 = 0.6931471805599453;
function ln(x) {
  let m = x, k = 0;
  while (m > 1.4142135623730951) { m *= 0.5; k += 1; }
  while (m < 0.7071067811865476) { m *= 2; k -= 1; }
  const z = (m - 1) / (m + 1), square = z * z;
  let sum = 1 / 27;
  for (let odd = 25; odd > 0; odd -= 2) sum = sum * square + 1 / odd;
  return k * LN2_HIGH + (k * LN2_LOW + 2 * z * sum);
}
function exp(x) {
  const k = Math.floor(x / LN2 + 0.5), r = x - k * LN2_HIGH - k * LN2_LOW;
  let sum = 1;
  for (let n = 14; n > 0; n -= 1) sum = 1 + (r / n) * sum;
  for (let left = k; left > 0; left -= 1) sum *= 2;
  for (let left = k; left < 0; left += 1) sum *= 0.5;
  return sum;
}

// ---- platinum: src/trade/sensors/platinum.rs ----
const A = 3.9083e-3, B = -5.775e-7, C = -4.183e-12;
const zero = { Pt100: 100, Pt1000: 1000 };
const ratio = (t) => 1 + A * t + B * t * t + (t < 0 ? C * (t - 100) * t * t * t : 0);
function platinumCelsius(probe, ohms) {
  const above = ohms / zero[probe] - 1;
  let t = (2 * above) / (A + Math.sqrt(A * A + 4 * B * above));
  if (above < 0) {
    for (let step = 0; step < 4; step += 1) {
      t -= (ratio(t) - 1 - above) / (A + 2 * B * t + C * (4 * t - 300) * t * t);
    }
    t = Math.max(t, -200);
  }
  return Math.min(t, 850);
}

// ---- thermocouples: src/trade/sensors/thermocouple/ ----
const couples = {};
for (const letter of ["J", "K", "T"]) {
  const text = read(`src/trade/sensors/thermocouple/${letter.toLowerCase()}.rs`);
  const bump = text.match(/bump: Some\(\[([^\]]*)\]\)/);
  const pieces = [...text.matchAll(/Piece \{\s*low: ([-\d.]+),\s*high: ([-\d.]+),\s*coefficients: &\[([^\]]*)\]/g)];
  const inverse = [...text.matchAll(/Inverse \{\s*high: ([-\d.]+),\s*coefficients: &\[([^\]]*)\]/g)];
  couples[letter] = {
    pieces: pieces.map((p) => ({ high: Number(p[2]), c: list(p[3]) })),
    inverse: inverse.map((p) => ({ high: Number(p[1]), c: list(p[2]) })),
    bump: bump && list(bump[1]),
    coldest: Number(text.match(/coldest: ([-\d.]+)/)[1]),
  };
}
function powers(c, x) {
  let value = 0, slope = 0;
  for (let i = c.length - 1; i >= 0; i -= 1) { slope = slope * x + value; value = value * x + c[i]; }
  return [value, slope];
}
const upTo = (pieces, x) => pieces.find((p) => x <= p.high) ?? pieces[pieces.length - 1];
function junction(kind, t) {
  let [value, slope] = powers(upTo(kind.pieces, t).c, t);
  if (kind.bump && t > 0) {
    const [a0, a1, a2] = kind.bump, bump = a0 * exp(a1 * (t - a2) * (t - a2));
    value += bump;
    slope += 2 * a1 * (t - a2) * bump;
  }
  return [value, slope];
}
function junctionCelsius(kind, millivolts) {
  let t = powers(upTo(kind.inverse, millivolts).c, millivolts)[0];
  for (let step = 0; step < 2; step += 1) {
    const [here, slope] = junction(kind, t);
    t -= (here - millivolts) / slope;
  }
  return Math.min(Math.max(t, kind.coldest), kind.pieces[kind.pieces.length - 1].high);
}

// ---- refrigerants: src/trade/refrigerants/ ----
const FIRST_ROW = -51, LOWEST = -50;
const tables = {};
for (const [, name, body] of read("src/trade/refrigerants/tables.rs").matchAll(/static (\w+): Curves = Curves \{([\s\S]*?)\n\};/g)) {
  const rows = [...body.matchAll(/&\[([^\]]*)\]/g)].map((m) => list(m[1]));
  tables[name] = { bubble: rows[0], dew: rows[rows.length - 1], high: Number(body.match(/high: ([\d.]+)/)[1]) };
}
function cubic(rows, row) {
  row = Math.min(Math.max(row, 1), rows.length - 3);
  const a = rows[row - 1], b = rows[row], c = rows[row + 1], d = rows[row + 2];
  return [row, b, (6 * c - 2 * a - 3 * b - d) / 6, (a - 2 * b + c) / 2, (3 * b - a - 3 * c + d) / 6];
}
function pressure(name, side, celsius) {
  const above = celsius - FIRST_ROW;
  const [from, c0, c1, c2, c3] = cubic(tables[name.toUpperCase()][side], Math.floor(above));
  const s = above - from;
  return c0 + s * (c1 + s * (c2 + s * c3));
}
function saturated(name, side, kpa) {
  const table = tables[name.toUpperCase()], rows = table[side];
  let after = 0;
  while (after < rows.length && rows[after] < kpa) after += 1;
  const [from, c0, c1, c2, c3] = cubic(rows, Math.max(after - 1, 0));
  let s = (kpa - c0) / (c1 + c2 + c3);
  for (let step = 0; step < 3; step += 1) {
    s -= (c0 + s * (c1 + s * (c2 + s * c3)) - kpa) / (c1 + s * (2 * c2 + s * (3 * c3)));
  }
  return Math.min(Math.max(FIRST_ROW + from + s, LOWEST), table.high);
}

const boiling = list(read("src/trade/water.rs").match(/BOILS: \[f64; 9\] =\s*\[([^\]]*)\]/)[1]);
function boils(feet) {
  const thousands = feet / 1000, row = Math.min(Math.floor(thousands), boiling.length - 2);
  return boiling[row] + (thousands - row) * (boiling[row + 1] - boiling[row]);
}

// ---- what the forms call, by the names they use ----
const steps = {
  sum: (many) => many.reduce((a, b) => a + b, 0),
  count: (many) => many.length,
  lowest: (many) => many.reduce((a, b) => (b < a ? b : a)),
  highest: (many) => many.reduce((a, b) => (b > a ? b : a)),
  furthest: (many, x) => many.reduce((most, v) => Math.max(most, Math.abs(v - x)), 0),
  sqrt: Math.sqrt,
  pi: 3.141592653589793,
  ln,
  exp,
  "platinum-celsius": platinumCelsius,
  "platinum-ohms": (probe, t) => zero[probe] * ratio(t),
  "junction-millivolts": (kind, t) => junction(couples[kind], t)[0],
  "junction-celsius": (kind, millivolts) => junctionCelsius(couples[kind], millivolts),
  "dew-celsius": (name, kpa) => saturated(name, "dew", kpa),
  "bubble-celsius": (name, kpa) => saturated(name, "bubble", kpa),
  "dew-pressure-of": (name, t) => pressure(name, "dew", t),
  "bubble-pressure-of": (name, t) => pressure(name, "bubble", t),
  air: (millimeters) => 101.325 * exp(5.2559 * ln(1 - 2.25577e-5 * (millimeters / 1000))),
  boils,
};

// ---- the forms, out of the table of functions ----
const forms = {};
const source = readdirSync("src/trade/functions").map((file) => read(`src/trade/functions/${file}`)).join("\n");
const constants = Object.fromEntries(
  [...source.matchAll(/const (\w+): (?:&\[Argument\]|Argument) =([\s\S]*?);\n/g)].map((m) => [m[1], m[2]]),
);
function places(text) {
  const found = [];
  for (const m of text.matchAll(/once\("([^"]+)"|name: "([^"]+)"|(?<![:\w])([A-Z][A-Z_0-9]+)\b(?!:)/g)) {
    if (m[1] ?? m[2]) {
      const many = /AtLeast/.test(text.slice(m.index).split("}")[0]) && m[2];
      found.push({ name: m[1] ?? m[2], many: Boolean(many) });
    } else if (constants[m[3]]) found.push(...places(constants[m[3]]));
  }
  return found;
}
for (const m of source.matchAll(/name: "([\w-]+)",\s*arguments: ([\s\S]*?),\s*gives:[\s\S]*?form: "([\s\S]*?)",\s*compares/g)) {
  forms[m[1]] = { places: places(m[2]), lines: m[3].replace(/\\n\\\n\s*/g, "\n").split("\n") };
}
const identifier = (name) => name.replace(/-/g, "_");
function answer(name, given) {
  const form = forms[name], names = { ...steps };
  form.places.forEach((place, at) => {
    names[place.name] = place.many ? given.slice(at) : at < given.length ? given[at] : 0;
  });
  let value = NaN;
  for (const line of form.lines) {
    const [, to, sum] = line.match(/^(?:([\w-]+) = )?(.*)$/);
    const plain = sum.replace(/[A-Za-z][\w-]*/g, identifier);
    const keys = Object.keys(names);
    value = new Function(...keys.map(identifier), `return ${plain};`)(...keys.map((key) => names[key]));
    if (to) names[to] = value;
  }
  return value;
}

let lines = 0, off = 0;
for (const line of read("tests/cases/trade/same_digits.csv").split("\n")) {
  if (!line || line.startsWith("#") || line.startsWith("function,")) continue;
  const [name, words, want] = line.split(",");
  const given = words.split(" ").map((word) => (Number.isNaN(Number(word)) ? word : Number(word)));
  const got = answer(name, given);
  lines += 1;
  if (got !== Number(want)) {
    off += 1;
    console.log(`${name} ${words}: ${got}, Rust gives ${want}`);
  }
}
console.log(`${lines} answers, ${off} differ`);
process.exit(off || !lines ? 1 : 0);
