// Draws the soup of triangles with WebGL 2: colour from the value, nothing where the melt has not been, a line every so
// many seconds of arrival, the front itself, and a soft edge on channels.
import * as twgl from "twgl.js";
import { caught_air, empty_cavity, without_value } from "./colours.js";

const nothing = -1e30; // stands for NaN, which shaders need not know

const vertex_code = `#version 300 es
in vec2 position; in float value; in float arrival; in float across; in float gas;
uniform vec4 placing; // scale x y, shift x y
out float v_value; out float v_arrival; out float v_across; out float v_gas;
void main() {
  v_value = value; v_arrival = arrival; v_across = across; v_gas = gas;
  gl_Position = vec4(position * placing.xy + placing.zw, 0.0, 1.0);
}`;

const fragment_code = `#version 300 es
precision highp float;
in float v_value; in float v_arrival; in float v_across; in float v_gas;
uniform float time, low, high, every;
uniform bool logarithmic, moving;
uniform sampler2D colours;
uniform vec3 empty, unknown, air;
out vec4 colour;
void main() {
  vec3 c;
  float slope = max(fwidth(v_arrival), 1e-9);
  if (v_arrival > time) {
    c = mix(empty, air, 0.85 * smoothstep(0.3, 1.0, v_gas));
  } else if (v_value < -1e29) {
    c = unknown;
  } else {
    float s = logarithmic ? log(max(v_value, 1e-30) / low) / log(high / low) : (v_value - low) / (high - low);
    c = texture(colours, vec2(clamp(s, 0.0, 1.0) * 255.0 / 256.0 + 0.5 / 256.0, 0.5)).rgb;
    if (every > 0.0) {
      float away = abs(fract(v_arrival / every - 0.5) - 0.5) * every / slope;
      c = mix(c, c * 0.52, 1.0 - smoothstep(0.4, 1.1, away));
    }
    if (moving) c = mix(vec3(1.0), c, smoothstep(0.6, 2.2, (time - v_arrival) / slope));
  }
  c *= 1.0 - 0.30 * v_across * v_across;
  colour = vec4(c, 1.0);
}`;

export class GlPainter {
  /** @throws Error where there is no WebGL 2 */
  constructor(canvas, mesh) {
    const gl = canvas.getContext("webgl2", { antialias: true, alpha: true, preserveDrawingBuffer: true });
    if (!gl) throw new Error("no WebGL 2");
    this.gl = gl;
    this.program = twgl.createProgramInfo(gl, [vertex_code, fragment_code]);
    if (!this.program) throw new Error("the shaders do not compile here");
    const zeros = () => new Float32Array(mesh.corners);
    this.buffers = twgl.createBufferInfoFromArrays(gl, {
      position: { numComponents: 2, data: mesh.position },
      across: { numComponents: 1, data: mesh.across },
      value: { numComponents: 1, data: zeros(), drawType: gl.DYNAMIC_DRAW },
      arrival: { numComponents: 1, data: zeros(), drawType: gl.DYNAMIC_DRAW },
      gas: { numComponents: 1, data: zeros(), drawType: gl.DYNAMIC_DRAW },
    });
    this.colours = twgl.createTexture(gl, { width: 256, height: 1, src: new Uint8Array(1024), min: gl.LINEAR, mag: gl.LINEAR,
      wrap: gl.CLAMP_TO_EDGE, auto: false });
  }

  /** @param name value, arrival, gas @param data one number per corner */
  set(name, data) {
    const clean = data.map((v) => (Number.isNaN(v) ? nothing : v));
    twgl.setAttribInfoBufferFromArray(this.gl, this.buffers.attribs[name], clean);
  }
  set_colours(table) {
    twgl.setTextureFromArray(this.gl, this.colours, table, { width: 256, height: 1, min: this.gl.LINEAR, mag: this.gl.LINEAR,
      wrap: this.gl.CLAMP_TO_EDGE, auto: false });
  }

  /** @param look placing {scale, x, y}: pixel = x + scale * mm, y - scale * mm; time, range, every, moving */
  draw({ placing, time, range, every, moving }) {
    const { gl } = this, w = gl.canvas.width, h = gl.canvas.height;
    gl.viewport(0, 0, w, h);
    gl.clearColor(0, 0, 0, 0);
    gl.clear(gl.COLOR_BUFFER_BIT);
    gl.useProgram(this.program.program);
    twgl.setBuffersAndAttributes(gl, this.program, this.buffers);
    twgl.setUniforms(this.program, {
      placing: [(2 * placing.scale) / w, (2 * placing.scale) / h, (2 * placing.x) / w - 1, 1 - (2 * placing.y) / h],
      time, low: range.low, high: range.high, every, moving, logarithmic: range.logarithmic, colours: this.colours,
      empty: empty_cavity, unknown: without_value, air: caught_air,
    });
    twgl.drawBufferInfo(gl, this.buffers);
  }
}
