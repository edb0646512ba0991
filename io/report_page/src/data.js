// What the page was given: texts and numbers as JSON, arrays as base64 of deflated bytes, unpacked when first needed.
import { unzlibSync } from "fflate";

const no_value = 65535;
const steps_of_range = 65534;

function bytes_of(id) {
  const text = atob(document.getElementById(id).textContent);
  const packed = new Uint8Array(text.length);
  for (let i = 0; i < text.length; ++i) packed[i] = text.charCodeAt(i);
  return unzlibSync(packed);
}

/** Float32Array of a rounded block (NaN: no value), Uint32Array of an index block. */
function unpacked(block) {
  const bytes = bytes_of(block.id), n = block.count;
  if (block.kind === "index") return new Uint32Array(bytes.buffer, bytes.byteOffset, n);
  const out = new Float32Array(n), step = (block.high - block.low) / steps_of_range;
  for (let i = 0; i < n; ++i) {
    const q = bytes[i] | (bytes[n + i] << 8);
    out[i] = q === no_value ? NaN : block.low + q * step;
  }
  return out;
}

export class Run {
  constructor(json) {
    Object.assign(this, json);
    this.cache = new Map();
    this.summary ??= {};
  }
  block(number) {
    if (!this.cache.has(number)) this.cache.set(number, unpacked(this.blocks[number]));
    return this.cache.get(number);
  }
  /** Array of the mesh, or null when the result holds none. */
  mesh(name) {
    const number = this.model.mesh[name];
    return number === undefined ? null : this.block(number);
  }
  field(key) {
    return this.fields.find((f) => f.key === key) ?? null;
  }
  get has_mesh() {
    return this.model.mesh.triangles !== undefined;
  }
  get label() {
    return this.name || this.title || "run";
  }
}

export function read_data() {
  const json = JSON.parse(document.getElementById("data").textContent);
  return { ...json, runs: json.runs.map((r) => new Run(r)) };
}
