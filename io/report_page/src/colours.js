// Scales of colours as the page was given them, and the few fixed colours of a picture.

export const ink = "#1f2a30";
export const empty_cavity = [0.905, 0.890, 0.860];
export const without_value = [0.79, 0.78, 0.76];
export const caught_air = [0.86, 0.52, 0.10];

const size = 256;

/** 256 colours, red green blue alpha in bytes. @param stops evenly spaced 0xRRGGBB */
export function ramp(stops) {
  const out = new Uint8Array(4 * size);
  for (let i = 0; i < size; ++i) {
    const place = (i / (size - 1)) * (stops.length - 1), k = Math.min(Math.floor(place), stops.length - 2), s = place - k;
    for (let c = 0; c < 3; ++c) {
      const part = (stop) => (stop >> (16 - 8 * c)) & 255;
      out[4 * i + c] = Math.round((1 - s) * part(stops[k]) + s * part(stops[k + 1]));
    }
    out[4 * i + 3] = 255;
  }
  return out;
}

export const css = (rgb) => `rgb(${rgb.map((c) => Math.round(255 * c)).join(" ")})`;
export const css_at = (table, share) => {
  const i = 4 * Math.max(0, Math.min(size - 1, Math.round(share * (size - 1))));
  return `rgb(${table[i]} ${table[i + 1]} ${table[i + 2]})`;
};
