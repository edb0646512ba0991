// Numbers as people read them.

/** About three digits: 0.785, 39.6, 337; a dash when there is none. */
export function number(value, digits = 3) {
  if (value === null || value === undefined || !Number.isFinite(value)) return "–";
  if (value === 0) return "0";
  const size = Math.floor(Math.log10(Math.abs(value)));
  if (size >= 6 || size < -4) {
    const mantissa = (value / 10 ** size).toPrecision(digits);
    return `${mantissa}·10${superscript(size)}`;
  }
  const text = value.toFixed(Math.max(0, Math.min(6, digits - 1 - size)));
  return text.replace("-", "−").replace(/^(−?)(\d{5,})/, (_, sign, all) => sign + grouped(all));
}

/** 12345 → 12 345 with narrow spaces. */
const grouped = (digits) => digits.replace(/\B(?=(\d{3})+$)/g, "\u202f");
const superscript = (n) => String(n).replace(/[-0-9]/g, (c) => "⁻⁰¹²³⁴⁵⁶⁷⁸⁹"["-0123456789".indexOf(c)]);

/** "39.6 MPa" with a space that does not break; the unit may be missing. */
export const with_unit = (value, unit, digits) => {
  const text = number(value, digits);
  return text === "–" || !unit ? text : `${text}\u00a0${unit}`;
};

export const percent = (share, digits = 2) => with_unit(share === null || share === undefined ? null : 100 * share, "%", digits);

/** Evenly spaced round numbers within [low, high]. */
export function ticks(low, high, about = 5) {
  if (!(high > low)) return [low];
  const rough = (high - low) / about;
  const power = 10 ** Math.floor(Math.log10(rough));
  const step = [1, 2, 2.5, 5, 10].map((f) => f * power).find((s) => s >= rough * 0.999);
  const out = [];
  for (let i = Math.ceil(low / step - 1e-9); i * step <= high + step * 1e-9; ++i) out.push(i * step);
  return out;
}

/** Decades within [low, high]. */
export function decades(low, high) {
  const out = [];
  for (let e = Math.ceil(Math.log10(low) - 1e-9); 10 ** e <= high * 1.0001; ++e) out.push(10 ** e);
  return out;
}

/** Text of a tick: as many digits as the step needs. */
export function tick_text(value, all) {
  const step = all.length > 1 ? Math.abs(all[1] - all[0]) : Math.abs(value) || 1;
  if (value !== 0 && (Math.abs(value) >= 1e5 || step < 1e-4)) return number(value, 1);
  const digits = Math.max(0, Math.ceil(-Math.log10(step) - 1e-9) + (/^2\.5|^25$/.test(String(step / 10 ** Math.floor(Math.log10(step)))) ? 1 : 0));
  return value.toFixed(Math.min(digits, 6)).replace("-", "−");
}
