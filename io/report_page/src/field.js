// Values of a field at a time, and how they are spread over the colours.
import { decades, ticks } from "./format.js";

const decades_shown = 4;

/** Values of a field over its own nodes or triangles at a time [s], between the kept steps around it. */
export function values_at(run, field, time) {
  if (field.blocks.length === 1) return run.block(field.blocks[0]);
  const times = run.steps.map((s) => s.time);
  let later = times.findIndex((t) => t >= time);
  if (later < 0) later = times.length - 1;
  const b = run.block(field.blocks[later]);
  if (later === 0 || times[later] <= time) return b;
  const a = run.block(field.blocks[later - 1]);
  const share = (time - times[later - 1]) / (times[later] - times[later - 1]);
  const out = new Float32Array(b.length);
  for (let i = 0; i < b.length; ++i) out[i] = Number.isNaN(a[i]) ? b[i] : Number.isNaN(b[i]) ? a[i] : a[i] + share * (b[i] - a[i]);
  return out;
}

/** One value per corner of the drawn triangles; NaN where there is none. */
export function corner_values(mesh, field, values, out = new Float32Array(mesh.corners)) {
  if (field.per === "triangle") {
    out.fill(NaN);
    for (let t = 0; t < mesh.n_plane; ++t) out.fill(values[t], 3 * t, 3 * t + 3);
    return out;
  }
  for (let c = 0; c < out.length; ++c) out[c] = values[mesh.node[c]];
  for (let c = 0; c < out.length; c += 3) level_gaps(out, c);
  return out;
}

/** A corner without a value in a triangle that has some takes their mean, so that colours end at a side, not in one. */
function level_gaps(v, c) {
  const bad = Number.isNaN(v[c]) + Number.isNaN(v[c + 1]) + Number.isNaN(v[c + 2]);
  if (bad === 0 || bad === 3) return;
  let sum = 0;
  for (let i = 0; i < 3; ++i) if (!Number.isNaN(v[c + i])) sum += v[c + i];
  for (let i = 0; i < 3; ++i) if (Number.isNaN(v[c + i])) v[c + i] = sum / (3 - bad);
}

/** Range of colours of a field over all the runs that are shown together. */
export function range_of(fields) {
  const known = fields.filter(Boolean);
  let low = Math.min(...known.map((f) => f.low)), high = Math.max(...known.map((f) => f.high));
  const [first] = known;
  if (first.logarithmic) {
    high = high > 0 ? high : 1;
    return { low: high / 10 ** decades_shown, high, logarithmic: true };
  }
  if (low > 0 && low < 0.4 * high && first.unit !== "°C") low = 0;
  if (first.key === "solid_share") [low, high] = [0, 100];
  if (!(high > low)) high = low + 1;
  return { low, high, logarithmic: false };
}

/** Place of a value on the scale of colours, 0 … 1 inside. */
export function share_of(range, value) {
  if (range.logarithmic) return value > 0 ? Math.log(value / range.low) / Math.log(range.high / range.low) : -1;
  return (value - range.low) / (range.high - range.low);
}

export const range_ticks = (range) => (range.logarithmic ? decades(range.low, range.high) : ticks(range.low, range.high, 6));
