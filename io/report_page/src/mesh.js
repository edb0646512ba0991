// The frame as a soup of triangles to draw: those of the mesh, then two for each piece of a channel. Every corner has a
// node; a field per node or per triangle becomes a value per corner. Also outlines, places of parts, and what lies
// under a point. All lengths in mm.

const grid_cells_across = 160;

export class FrameMesh {
  constructor(run) {
    const triangles = run.mesh("triangles"), x = run.mesh("points_x"), y = run.mesh("points_y");
    const node = run.mesh("node_of_vertex");
    this.run = run;
    this.region = run.mesh("region");
    this.n_plane = triangles.length / 3;
    this.n_lines = run.mesh("line_from")?.length ?? 0;
    const corners = triangles.length + 6 * this.n_lines;
    this.position = new Float32Array(2 * corners);
    this.node = new Uint32Array(corners);
    this.across = new Float32Array(corners); // -1 … 1 over the width of a channel, 0 in the plane
    for (let c = 0; c < triangles.length; ++c) {
      const v = triangles[c];
      this.position[2 * c] = x[v];
      this.position[2 * c + 1] = y[v];
      this.node[c] = node[v];
    }
    this.lay_channels(triangles.length);
    this.box = box_of(this.position);
    this.find_edges(triangles);
    this.find_grid();
    this.find_centres();
  }

  get corners() {
    return this.node.length;
  }

  /** Two triangles per piece of a channel, as wide as it is there; a piece that stands up (sprue) becomes a square. */
  lay_channels(first) {
    if (!this.n_lines) return;
    const { run } = this;
    const from = run.mesh("line_from"), to = run.mesh("line_to"), nx = run.mesh("node_x"), ny = run.mesh("node_y");
    const w0 = run.mesh("line_start_width"), w1 = run.mesh("line_end_width");
    this.segments = [];
    for (let k = 0; k < this.n_lines; ++k) {
      let a = [nx[from[k]], ny[from[k]]], b = [nx[to[k]], ny[to[k]]];
      let dx = b[0] - a[0], dy = b[1] - a[1];
      const length = Math.hypot(dx, dy), upright = length < 0.02 * Math.max(w0[k], w1[k]);
      const wide = Math.max(w0[k], w1[k]) / 2;
      if (upright) {
        a = [a[0] - wide, a[1]];
        b = [b[0] + wide, b[1]];
        [dx, dy] = [1, 0];
      } else {
        dx /= length;
        dy /= length;
      }
      const h0 = upright ? wide : w0[k] / 2, h1 = upright ? wide : w1[k] / 2;
      const quad = [
        [a[0] - dy * h0, a[1] + dx * h0, from[k], 1], [a[0] + dy * h0, a[1] - dx * h0, from[k], -1],
        [b[0] - dy * h1, b[1] + dx * h1, to[k], 1], [b[0] + dy * h1, b[1] - dx * h1, to[k], -1],
      ];
      [0, 1, 2, 2, 1, 3].forEach((q, i) => {
        const c = first + 6 * k + i;
        [this.position[2 * c], this.position[2 * c + 1], this.node[c], this.across[c]] = quad[q];
      });
      this.segments.push({ a, b, h0, h1 });
    }
  }

  /** Sides that only one triangle of a region has, as x0 y0 x1 y1. */
  find_edges(triangles) {
    const seen = new Map();
    const n = this.run.mesh("points_x").length;
    for (let c = 0; c < triangles.length; ++c) {
      const next = c % 3 === 2 ? c - 2 : c + 1;
      const a = Math.min(triangles[c], triangles[next]), b = Math.max(triangles[c], triangles[next]);
      const key = a * n + b;
      const other = seen.get(key);
      if (other === undefined) seen.set(key, c);
      else if (this.region[Math.floor(other / 3)] === this.region[Math.floor(c / 3)]) seen.set(key, -1);
    }
    this.edges = [];
    for (const c of seen.values()) {
      if (c < 0) continue;
      const next = c % 3 === 2 ? c - 2 : c + 1;
      this.edges.push(this.position[2 * c], this.position[2 * c + 1], this.position[2 * next], this.position[2 * next + 1]);
    }
  }

  find_grid() {
    const [x0, y0, x1, y1] = this.box;
    this.cell = Math.max(x1 - x0, y1 - y0, 1e-6) / grid_cells_across;
    this.columns = Math.floor((x1 - x0) / this.cell) + 1;
    this.rows = Math.floor((y1 - y0) / this.cell) + 1;
    this.grid = new Map();
    for (let t = 0; t < this.corners / 3; ++t) {
      const b = box_of(this.position.subarray(6 * t, 6 * t + 6));
      for (let i = this.column(b[0]); i <= this.column(b[2]); ++i)
        for (let j = this.row(b[1]); j <= this.row(b[3]); ++j) {
          const key = j * this.columns + i;
          const list = this.grid.get(key);
          if (list) list.push(t);
          else this.grid.set(key, [t]);
        }
    }
  }
  column(x) {
    return Math.max(0, Math.min(this.columns - 1, Math.floor((x - this.box[0]) / this.cell)));
  }
  row(y) {
    return Math.max(0, Math.min(this.rows - 1, Math.floor((y - this.box[1]) / this.cell)));
  }

  /** Centre of area and extent of each region. */
  find_centres() {
    this.places = this.run.model.regions.map(() => ({ x: 0, y: 0, area: 0, box: [Infinity, Infinity, -Infinity, -Infinity] }));
    for (let t = 0; t < this.n_plane; ++t) {
      const p = this.position.subarray(6 * t, 6 * t + 6), place = this.places[this.region[t]];
      const area = Math.abs((p[2] - p[0]) * (p[5] - p[1]) - (p[4] - p[0]) * (p[3] - p[1])) / 2;
      place.area += area;
      place.x += (area * (p[0] + p[2] + p[4])) / 3;
      place.y += (area * (p[1] + p[3] + p[5])) / 3;
      const b = box_of(p);
      place.box = [Math.min(place.box[0], b[0]), Math.min(place.box[1], b[1]), Math.max(place.box[2], b[2]), Math.max(place.box[3], b[3])];
    }
    for (const place of this.places) {
      place.x /= place.area || 1;
      place.y /= place.area || 1;
    }
  }

  /** Place of a part, gate or runner by its name, or null. */
  place_of(name) {
    const { regions, channels } = this.run.model;
    const r = regions.findIndex((region) => region.name === name);
    if (r >= 0 && this.places[r].area > 0) {
      const { x, y, box } = this.places[r];
      return { x, y, radius: Math.max(box[2] - box[0], box[3] - box[1]) / 2 };
    }
    const c = channels.findIndex((channel) => channel.name === name);
    const line = this.run.mesh("line_channel")?.indexOf(c) ?? -1;
    if (c < 0 || line < 0) return null;
    const { a, b, h0 } = this.segments[line];
    return { x: (a[0] + b[0]) / 2, y: (a[1] + b[1]) / 2, radius: Math.max(2, 2 * h0) };
  }

  /** What lies at a point: {triangle, weights, name, role}, or null. Channels lie above parts. */
  at(x, y) {
    const list = this.grid.get(this.row(y) * this.columns + this.column(x)) ?? [];
    let found = null;
    for (const t of list) {
      if (found && t < this.n_plane) continue;
      const weights = barycentric(this.position.subarray(6 * t, 6 * t + 6), x, y);
      if (weights) found = { triangle: t, weights };
    }
    return found && { ...found, ...this.owner(found.triangle) };
  }
  owner(triangle) {
    if (triangle < this.n_plane) return this.run.model.regions[this.region[triangle]];
    const line = Math.floor((triangle - this.n_plane) / 2);
    return this.run.model.channels[this.run.mesh("line_channel")[line]];
  }
}

function box_of(p) {
  const out = [Infinity, Infinity, -Infinity, -Infinity];
  for (let i = 0; i < p.length; i += 2) {
    if (p[i] < out[0]) out[0] = p[i];
    if (p[i + 1] < out[1]) out[1] = p[i + 1];
    if (p[i] > out[2]) out[2] = p[i];
    if (p[i + 1] > out[3]) out[3] = p[i + 1];
  }
  return out;
}

function barycentric(p, x, y) {
  const det = (p[2] - p[0]) * (p[5] - p[1]) - (p[4] - p[0]) * (p[3] - p[1]);
  if (det === 0) return null;
  const u = ((x - p[0]) * (p[5] - p[1]) - (p[4] - p[0]) * (y - p[1])) / det;
  const v = ((p[2] - p[0]) * (y - p[1]) - (x - p[0]) * (p[3] - p[1])) / det;
  const slack = -1e-6;
  return u >= slack && v >= slack && u + v <= 1 - slack ? [1 - u - v, u, v] : null;
}
