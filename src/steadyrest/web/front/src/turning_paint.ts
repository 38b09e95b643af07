// Paints the part with WebGL 1. First which surface is seen where, with the way it faces, into a picture of its own; then
// from that the shaded faces, with a line wherever one surface ends and another begins.

import { type Colours, extent, type Lot, MOST_CUTS, MOST_RINGS, type Turning, type Vec } from "./turning_shape";

/** How the part is seen. turn: rows right, up, toward the eye. zoom: 1 shows it whole, however it lies. shift: in half widths. */
export interface Look {
  readonly turn: readonly [Vec, Vec, Vec];
  readonly zoom: number;
  readonly shift: readonly [number, number];
}

export interface Painter {
  readonly draw: (look: Look, chosen: number, colours: Colours) => void;
  readonly end: () => void;
}

const ROOM = 0.94;
// A wall that lies on the part's own surface is none: so much of the reach inside it begins to be one.
const SKIN = 2e-4;
// Seen from its end a long part is shown so many times larger than from its side, at most.
const LARGER = 2.6;
const FINE = `
#ifdef GL_FRAGMENT_PRECISION_HIGH
precision highp float;
#else
precision mediump float;
#endif`;
const PART_CORNERS = `
attribute vec3 place; attribute vec3 facing;
uniform vec3 right, up, eye; uniform vec4 view; uniform float depth;
varying vec3 at, face;
void main() {
  at = place;
  face = vec3(dot(right, facing), dot(up, facing), dot(eye, facing));
  vec2 plane = vec2(dot(right, place), dot(up, place)) * view.xy + view.zw;
  gl_Position = vec4(plane, -dot(eye, place) * depth, 1.0);
}`;
const PART_FACES = `${FINE}
varying vec3 at, face;
uniform mat4 cuts[${MOST_CUTS}]; uniform vec4 rings[${MOST_RINGS}];
uniform vec3 box; uniform float skin; uniform vec3 count; uniform vec2 tag;
bool taken(mat4 c) {
  vec3 q = at - c[0].xyz;
  float t = dot(q, c[1].xyz);
  if (abs(t) > c[0].w) return false;
  if (c[1].w < 0.5) return length(q - t * c[1].xyz) < mix(c[3].z, c[3].w, 0.5 + 0.5 * t / c[0].w);
  vec2 w = abs(vec2(dot(q, c[2].xyz), dot(q, cross(c[1].xyz, c[2].xyz)))) - vec2(c[2].w, c[3].x) + c[3].y;
  return length(max(w, 0.0)) + min(max(w.x, w.y), 0.0) < c[3].y;
}
void main() {
  for (int i = 0; i < ${MOST_CUTS}; i++) {
    if (float(i) >= count.x) break;
    if (taken(cuts[i])) discard;
  }
  if (count.z > 0.5) {
    bool inside = all(lessThan(abs(at), box));
    for (int i = 0; i < ${MOST_RINGS}; i++) {
      if (float(i) >= count.y) break;
      vec4 r = rings[i];
      if (at.x >= r.x && at.x <= r.y && length(at.yz) < mix(r.z, r.w, (at.x - r.x) / max(r.y - r.x, 1e-6)) - skin) inside = true;
    }
    if (!inside) discard;
  }
  vec3 n = normalize(face);
  if (n.z < 0.0) n = -n;
  gl_FragColor = vec4(tag.x, n.xy * 0.5 + 0.5, tag.y);
}`;
const SHEET_CORNERS = `attribute vec2 place; varying vec2 on; void main() { on = place * 0.5 + 0.5; gl_Position = vec4(place, 0.0, 1.0); }`;
const SHEET_FACES = `${FINE}
varying vec2 on;
uniform sampler2D faces; uniform vec2 dot_; uniform float thick; uniform vec3 inks[8];
vec4 point(vec2 uv) {
  vec4 here = texture2D(faces, uv);
  float code = floor(here.a * 255.0 + 0.5);
  bool chosen = code >= 16.0;
  bool line = false;
  for (int k = 0; k < 8; k++) {
    float turn = float(k) * 0.7853982;
    vec4 by = texture2D(faces, uv + vec2(cos(turn), sin(turn)) * dot_ * thick);
    if (by.r != here.r) line = true;
    by = texture2D(faces, uv + vec2(cos(turn), sin(turn)) * dot_ * thick * 2.4);
    if (by.r != here.r && (by.a * 255.0 >= 15.5 || chosen)) line = true;
  }
  if (line) return vec4(inks[7], 1.0);
  if (here.r == 0.0) return vec4(0.0);
  if (chosen) code -= 16.0;
  vec3 colour = inks[0];
  for (int i = 1; i < 7; i++) if (float(i) == code) colour = inks[i];
  if (code == 1.0) colour *= 0.8;
  vec2 n = here.gb * 2.0 - 1.0;
  float light = dot(vec3(n, sqrt(max(0.0, 1.0 - dot(n, n)))), vec3(-0.32, 0.49, 0.81));
  return vec4(colour * mix(code > 1.5 ? 0.86 : 0.72, 1.0, clamp(light, 0.0, 1.0)), 1.0);
}
void main() {
  vec4 sum = point(on + dot_ * vec2(-0.5, -0.5)) + point(on + dot_ * vec2(0.5, -0.5))
           + point(on + dot_ * vec2(-0.5, 0.5)) + point(on + dot_ * vec2(0.5, 0.5));
  gl_FragColor = sum * 0.25;
}`;

/** Half widths of the picture to a millimetre; shape: its width by its height. */
export function scaleOf(data: Turning, look: Look, shape: number): number {
  const [right, up] = look.turn;
  return ROOM * look.zoom * Math.min(1 / extent(data, right), 1 / (shape * extent(data, up)), LARGER / data.reach_mm);
}

/** A painter on a canvas, or nothing where this browser cannot. */
export function painter(canvas: HTMLCanvasElement, data: Turning, all: readonly Lot[]): Painter | null {
  const gl = canvas.getContext("webgl", { alpha: true, antialias: false, depth: false });
  if (!gl || gl.getParameter(gl.MAX_FRAGMENT_UNIFORM_VECTORS) < 64) return null;
  const part = program(gl, PART_CORNERS, PART_FACES);
  const sheet = program(gl, SHEET_CORNERS, SHEET_FACES);
  if (!part || !sheet) return null;
  const corners = gl.createBuffer();
  gl.bindBuffer(gl.ARRAY_BUFFER, corners);
  gl.bufferData(gl.ARRAY_BUFFER, new Float32Array(all.flatMap((lot) => lot.corners)), gl.STATIC_DRAW);
  const square = gl.createBuffer();
  gl.bindBuffer(gl.ARRAY_BUFFER, square);
  gl.bufferData(gl.ARRAY_BUFFER, new Float32Array([-1, -1, 3, -1, -1, 3]), gl.STATIC_DRAW);
  const prepared = all.map((lot) => ({
    cuts: new Float32Array(lot.cuts.flatMap((k) => cutNumbers(data, k))),
    rings: new Float32Array(lot.rings.flatMap((k) => ringNumbers(data, k))),
  }));
  let fine: Target | null = null;
  const at = (name: string): WebGLUniformLocation | null => gl.getUniformLocation(part, name);
  const places = { cuts: at("cuts"), rings: at("rings"), count: at("count"), tag: at("tag") };

  const faces = (target: Target, look: Look, shape: number, tag: (lot: Lot) => readonly [number, number]): void => {
    gl.bindFramebuffer(gl.FRAMEBUFFER, target.frame);
    gl.viewport(0, 0, target.across, target.down);
    gl.clearColor(0, 0, 0, 0);
    gl.enable(gl.DEPTH_TEST);
    gl.clear(gl.COLOR_BUFFER_BIT | gl.DEPTH_BUFFER_BIT);
    gl.useProgram(part);
    gl.bindBuffer(gl.ARRAY_BUFFER, corners);
    attribute(gl, part, "place", 3, 24, 0);
    attribute(gl, part, "facing", 3, 24, 12);
    const scale = scaleOf(data, look, shape);
    gl.uniform3f(at("right"), ...look.turn[0]);
    gl.uniform3f(at("up"), ...look.turn[1]);
    gl.uniform3f(at("eye"), ...look.turn[2]);
    gl.uniform4f(at("view"), scale, scale * shape, look.shift[0], look.shift[1] * shape);
    gl.uniform1f(at("depth"), 0.98 / data.reach_mm);
    const skin = SKIN * data.reach_mm;
    gl.uniform3f(at("box"), data.box_mm[0] / 2 - skin, data.box_mm[1] / 2 - skin, data.box_mm[2] / 2 - skin);
    gl.uniform1f(at("skin"), skin);
    let first = 0;
    for (const [k, lot] of all.entries()) {
      const numbers = prepared[k];
      if (numbers?.cuts.length) gl.uniformMatrix4fv(places.cuts, false, numbers.cuts);
      if (numbers?.rings.length) gl.uniform4fv(places.rings, numbers.rings);
      gl.uniform3f(places.count, lot.cuts.length, lot.rings.length, lot.own < 0 ? 0 : 1);
      const [surface, code] = tag(lot);
      gl.uniform2f(places.tag, surface / 255, code / 255);
      gl.drawArrays(gl.TRIANGLES, first, lot.corners.length / 6);
      first += lot.corners.length / 6;
    }
  };

  return {
    draw: (look, chosen, colours) => {
      const [across, down] = [2 * canvas.width, 2 * canvas.height];
      if (fine?.across !== across || fine.down !== down) fine = target(gl, across, down, fine);
      faces(fine, look, across / down, (lot) => [
        ((lot.surface - 1) % 254) + 1,
        (lot.worn ? lot.worn + 1 : lot.own < 0 ? 0 : 1) + (lot.mark >= 0 && lot.mark === chosen ? 16 : 0),
      ]);
      gl.bindFramebuffer(gl.FRAMEBUFFER, null);
      gl.viewport(0, 0, canvas.width, canvas.height);
      gl.disable(gl.DEPTH_TEST);
      gl.clearColor(0, 0, 0, 0);
      gl.clear(gl.COLOR_BUFFER_BIT);
      gl.useProgram(sheet);
      gl.bindTexture(gl.TEXTURE_2D, fine.faces);
      gl.bindBuffer(gl.ARRAY_BUFFER, square);
      attribute(gl, sheet, "place", 2, 8, 0);
      gl.uniform2f(gl.getUniformLocation(sheet, "dot_"), 1 / across, 1 / down);
      gl.uniform1f(gl.getUniformLocation(sheet, "thick"), Math.max(1, 0.6 * (canvas.width / (canvas.clientWidth || 1)) * 2));
      const inks = [colours.body, colours.cut, ...colours.worn.slice(0, 5), colours.ink];
      gl.uniform3fv(gl.getUniformLocation(sheet, "inks"), new Float32Array(inks.flatMap(levels)));
      gl.drawArrays(gl.TRIANGLES, 0, 3);
    },
    end: () => gl.getExtension("WEBGL_lose_context")?.loseContext(),
  };
}

interface Target {
  readonly frame: WebGLFramebuffer | null;
  readonly faces: WebGLTexture | null;
  readonly deep: WebGLRenderbuffer | null;
  readonly across: number;
  readonly down: number;
}

/** A picture to paint into, of a size; the one before it is given back. */
function target(gl: WebGLRenderingContext, across: number, down: number, before: Target | null): Target {
  if (before) {
    gl.deleteFramebuffer(before.frame);
    gl.deleteTexture(before.faces);
    gl.deleteRenderbuffer(before.deep);
  }
  const [frame, faces, deep] = [gl.createFramebuffer(), gl.createTexture(), gl.createRenderbuffer()];
  gl.bindTexture(gl.TEXTURE_2D, faces);
  gl.texImage2D(gl.TEXTURE_2D, 0, gl.RGBA, across, down, 0, gl.RGBA, gl.UNSIGNED_BYTE, null);
  for (const name of [gl.TEXTURE_MIN_FILTER, gl.TEXTURE_MAG_FILTER]) gl.texParameteri(gl.TEXTURE_2D, name, gl.NEAREST);
  for (const name of [gl.TEXTURE_WRAP_S, gl.TEXTURE_WRAP_T]) gl.texParameteri(gl.TEXTURE_2D, name, gl.CLAMP_TO_EDGE);
  gl.bindRenderbuffer(gl.RENDERBUFFER, deep);
  gl.renderbufferStorage(gl.RENDERBUFFER, gl.DEPTH_COMPONENT16, across, down);
  gl.bindFramebuffer(gl.FRAMEBUFFER, frame);
  gl.framebufferTexture2D(gl.FRAMEBUFFER, gl.COLOR_ATTACHMENT0, gl.TEXTURE_2D, faces, 0);
  gl.framebufferRenderbuffer(gl.FRAMEBUFFER, gl.DEPTH_ATTACHMENT, gl.RENDERBUFFER, deep);
  return { frame, faces, deep, across, down };
}

function program(gl: WebGLRenderingContext, corners: string, faces: string): WebGLProgram | null {
  const made = gl.createProgram();
  for (const [kind, text] of [[gl.VERTEX_SHADER, corners], [gl.FRAGMENT_SHADER, faces]] as const) {
    const shader = gl.createShader(kind);
    if (!shader) return null;
    gl.shaderSource(shader, text);
    gl.compileShader(shader);
    gl.attachShader(made, shader);
  }
  gl.linkProgram(made);
  return gl.getProgramParameter(made, gl.LINK_STATUS) ? made : null;
}

function attribute(gl: WebGLRenderingContext, of: WebGLProgram, name: string, size: number, stride: number, from: number): void {
  const place = gl.getAttribLocation(of, name);
  gl.enableVertexAttribArray(place);
  gl.vertexAttribPointer(place, size, gl.FLOAT, false, stride, from);
}

function cutNumbers(data: Turning, k: number): readonly number[] {
  const c = data.cuts[k];
  if (!c) return [];
  const long = c.shape === "long" ? 1 : 0;
  return [...c.at_mm, c.half_mm, ...c.axis, long, ...c.across, c.half_length_mm, c.half_width_mm, c.corner_mm, c.radius_from_mm, c.radius_to_mm];
}

function ringNumbers(data: Turning, k: number): readonly number[] {
  const r = data.rings[k];
  return r ? [r.from_mm, r.to_mm, r.radius_from_mm, r.radius_to_mm] : [];
}

const levels = (hex: string): readonly number[] => [1, 3, 5].map((k) => parseInt(hex.slice(k, k + 2), 16) / 255);
