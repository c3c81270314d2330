// The pieces in the wood's tone, turned by mouse, touch and keys. Plain WebGL 2.

const VERTEX = `#version 300 es
in vec3 place; in vec3 normal;
uniform mat4 toScreen; uniform mat3 turn; uniform vec3 shift;
out vec3 wood; out vec3 facing; out float up;
void main() {
  wood = place; up = normal.z; facing = turn * normal;
  gl_Position = toScreen * vec4(place + shift, 1.0);
}`;

// Rings round a line along the grain that lies under the piece, and fibres along it.
const FRAGMENT = `#version 300 es
precision highp float;
in vec3 wood; in vec3 facing; in float up;
uniform vec3 early, late; uniform float rings, fibres, spacing, solid;
uniform sampler2D art; uniform vec4 within; uniform float side;
out vec4 colour;
float random(vec3 p) { p = fract(p * vec3(.1031, .1030, .0973)); p += dot(p, p.yxz + 33.33); return fract((p.x + p.y) * p.z); }
float noise(vec3 p) {
  vec3 i = floor(p), f = fract(p); f = f * f * (3. - 2. * f);
  float a = mix(mix(random(i), random(i + vec3(1,0,0)), f.x), mix(random(i + vec3(0,1,0)), random(i + vec3(1,1,0)), f.x), f.y);
  float b = mix(mix(random(i + vec3(0,0,1)), random(i + vec3(1,0,1)), f.x), mix(random(i + vec3(0,1,1)), random(i + vec3(1,1,1)), f.x), f.y);
  return mix(a, b, f.z);
}
void main() {
  vec3 p = wood;
  // What is let into a face is drawn over it, where its art is and on its side.
  if (side != 0. && (side * up < .02 || texture(art, (wood.xy - within.xy) / within.zw).a < .5)) discard;
  float wave = noise(p * vec3(.012, .05, .05)) * 5. + noise(p * vec3(.03, .16, .16)) * 1.2;
  float ring = length(vec2(p.y + 14., p.z + 60.)) + wave;
  float part = fract(ring / spacing);
  // Rings that are thinner than the screen can show run into one tone.
  float seen = 1. - smoothstep(.25, .7, fwidth(ring) / spacing);
  float band = mix(.4, smoothstep(0., .75, part) * (1. - smoothstep(.86, 1., part)), seen);
  float grain = noise(p * vec3(.09, 2.6, 2.6)) * .7 + noise(p * vec3(.2, 6., 6.)) * .3;
  vec3 tone = mix(early, late, rings * band * .66 + .1);
  tone *= 1. + fibres * (grain - .5) * 1.1;
  vec3 n = normalize(facing);
  if (!gl_FrontFacing) n = -n;
  vec3 key = normalize(vec3(-.45, .75, .62)), fill = normalize(vec3(.8, .1, .5));
  float sky = n.y * .5 + .5;
  float lit = .30 + .22 * sky + .62 * max(dot(n, key), 0.) + .16 * max(dot(n, fill), 0.);
  float gloss = pow(max(dot(n, normalize(key + vec3(0., 0., 1.))), 0.), 26.) * .055;
  float edge = pow(1. - max(n.z, 0.), 3.) * .18;
  vec3 lightened = tone * lit * (1. - edge) + gloss;
  colour = vec4(pow(clamp(lightened, 0., 1.), vec3(1. / 2.2)), 1.) * solid;
}`;

const SEEN = { corner: [-0.62, 0.62], above: [0, Math.PI / 2], below: [0, -Math.PI / 2], side: [0, 0] };
const START = SEEN.corner;
const still = matchMedia("(prefers-reduced-motion: reduce)");
const linear = (byte) => Math.pow(byte / 255, 2.2);

export class Picture {
  constructor(canvas) {
    this.canvas = canvas;
    this.pieces = new Map();
    [this.round, this.high] = START;
    this.near = 1;
    this.number = 0;
    this.chosen = null;
    const gl = canvas.getContext("webgl2", { antialias: true, alpha: true, preserveDrawingBuffer: true });
    this.gl = gl;
    if (!gl) return;
    this.begin();
    canvas.addEventListener("webglcontextlost", (event) => event.preventDefault());
    canvas.addEventListener("webglcontextrestored", () => {
      this.begin();
      for (const piece of this.pieces.values()) {
        for (const one of piece.letIn) one.drawn = null;
        this.load(piece);
      }
      this.ask();
    });
    new ResizeObserver(() => this.ask()).observe(canvas);
    this.hands();
  }

  begin() {
    const gl = this.gl;
    const program = gl.createProgram();
    for (const [kind, source] of [[gl.VERTEX_SHADER, VERTEX], [gl.FRAGMENT_SHADER, FRAGMENT]]) {
      const shader = gl.createShader(kind);
      gl.shaderSource(shader, source);
      gl.compileShader(shader);
      gl.attachShader(program, shader);
    }
    gl.bindAttribLocation(program, 0, "place");
    gl.bindAttribLocation(program, 1, "normal");
    gl.linkProgram(program);
    this.program = program;
    this.uniform = Object.fromEntries(
      ["toScreen", "turn", "shift", "early", "late", "rings", "fibres", "spacing", "solid", "art", "within", "side"].map((name) => [name, gl.getUniformLocation(program, name)]),
    );
    gl.enable(gl.DEPTH_TEST);
  }

  /** Mouse, touch, wheel and keys. */
  hands() {
    const { canvas } = this;
    const down = new Map();
    canvas.addEventListener("pointerdown", (event) => {
      canvas.setPointerCapture(event.pointerId);
      down.set(event.pointerId, [event.clientX, event.clientY]);
    });
    canvas.addEventListener("pointermove", (event) => {
      const before = down.get(event.pointerId);
      if (!before) return;
      const now = [event.clientX, event.clientY];
      if (down.size === 1) this.turn((now[0] - before[0]) * 0.008, (now[1] - before[1]) * 0.008);
      else {
        const other = [...down].find(([id]) => id !== event.pointerId)[1];
        const apart = (p) => Math.hypot(p[0] - other[0], p[1] - other[1]);
        this.bring(apart(now) / Math.max(apart(before), 1));
      }
      down.set(event.pointerId, now);
    });
    for (const end of ["pointerup", "pointercancel"]) canvas.addEventListener(end, (event) => down.delete(event.pointerId));
    canvas.addEventListener("wheel", (event) => {
      event.preventDefault();
      this.bring(Math.exp(-event.deltaY * 0.0012));
    }, { passive: false });
    canvas.addEventListener("keydown", (event) => {
      const by = event.shiftKey ? 0.35 : 0.09;
      const does = {
        ArrowLeft: () => this.turn(-by, 0), ArrowRight: () => this.turn(by, 0),
        ArrowUp: () => this.turn(0, -by), ArrowDown: () => this.turn(0, by),
        "+": () => this.bring(1.12), "=": () => this.bring(1.12), "-": () => this.bring(1 / 1.12),
        Home: () => { this.near = 1; this.look("corner"); },
      }[event.key];
      if (!does || event.ctrlKey || event.metaKey) return;
      event.preventDefault();
      does();
    });
  }

  turn(round, high) {
    this.going = null;
    this.round += round;
    this.high = Math.max(-Math.PI / 2, Math.min(Math.PI / 2, this.high + high));
    this.ask();
  }

  bring(nearer) {
    this.near = Math.max(0.6, Math.min(9, this.near * nearer));
    this.ask();
  }

  /** Turns to a named view. */
  look(name) {
    const [round, high] = SEEN[name];
    const from = [Math.atan2(Math.sin(this.round), Math.cos(this.round)), this.high];
    const began = performance.now();
    const going = (this.going = (now) => {
      const part = still.matches ? 1 : Math.min((now - began) / 260, 1);
      const eased = part * part * (3 - 2 * part);
      this.round = from[0] + (round - from[0]) * eased;
      this.high = from[1] + (high - from[1]) * eased;
      if (part < 1) requestAnimationFrame((next) => this.going === going && going(next));
      this.ask();
    });
    going(began);
  }

  /** Shows pieces: all of them, or one that others stand beside. */
  show(pieces, alone) {
    if (!this.gl) return;
    if (!alone) {
      for (const [file, piece] of this.pieces) if (!pieces.some((one) => one.file === file)) this.drop(piece, file);
    }
    for (const { file, mesh, paint, low, high, let_in: letIn } of pieces) {
      const old = this.pieces.get(file);
      const piece = { mesh, paint, low, high, letIn: letIn ?? old?.letIn ?? [] };
      // Until the rules have looked, what is let in stays as it was, with its art.
      if (old) this.drop(letIn ? old : { ...old, letIn: [] }, file);
      this.load(piece);
      this.pieces.set(file, piece);
    }
    this.lay();
    this.ask();
  }

  /** Has one piece stand out among the others; none when there is none to choose from. */
  choose(file) {
    if (this.chosen === file) return;
    this.chosen = file;
    this.ask();
  }

  drop(piece, file) {
    for (const buffer of piece.buffers) this.gl.deleteBuffer(buffer);
    for (const { drawn } of piece.letIn) this.gl.deleteTexture(drawn?.texture);
    this.gl.deleteVertexArray(piece.array);
    this.pieces.delete(file);
  }

  load(piece) {
    const gl = this.gl;
    const { places, normals, triangles } = piece.mesh;
    piece.array = gl.createVertexArray();
    gl.bindVertexArray(piece.array);
    piece.buffers = [places, normals, triangles].map((data, index) => {
      const kind = index === 2 ? gl.ELEMENT_ARRAY_BUFFER : gl.ARRAY_BUFFER;
      const buffer = gl.createBuffer();
      gl.bindBuffer(kind, buffer);
      gl.bufferData(kind, data, gl.STATIC_DRAW);
      if (index === 0) gl.vertexAttribPointer(0, 3, gl.FLOAT, false, 0, 0);
      if (index === 1) gl.vertexAttribPointer(1, 3, gl.BYTE, true, 4, 0);
      if (index < 2) gl.enableVertexAttribArray(index);
      return buffer;
    });
    gl.bindVertexArray(null);
    for (const one of piece.letIn) one.drawn ??= this.mask(one);
  }

  /** The art of what is let in, as a texture, and the box in which it lies. */
  mask({ art }) {
    const FINE = 1024;
    const all = art.flat();
    const [low, high] = [Math.min, Math.max].map((most) => [0, 1].map((k) => all.reduce((found, p) => most(found, p[k]), all[0]?.[k] ?? 0)));
    const size = Math.max(high[0] - low[0], high[1] - low[1], 1e-3) * 1.04;
    // A margin all round, which goes on for ever outside the box.
    const [x0, y0] = low.map((least) => least - size * 0.02);
    const paper = new OffscreenCanvas(FINE, FINE), ink = paper.getContext("2d");
    const path = new Path2D();
    for (const outline of art) {
      outline.forEach(([x, y], i) => path[i ? "lineTo" : "moveTo"](((x - x0) / size) * FINE, ((y - y0) / size) * FINE));
      path.closePath();
    }
    ink.fill(path, "evenodd");
    const gl = this.gl, texture = gl.createTexture();
    gl.bindTexture(gl.TEXTURE_2D, texture);
    gl.texImage2D(gl.TEXTURE_2D, 0, gl.RGBA, gl.RGBA, gl.UNSIGNED_BYTE, paper);
    gl.generateMipmap(gl.TEXTURE_2D);
    for (const way of [gl.TEXTURE_WRAP_S, gl.TEXTURE_WRAP_T]) gl.texParameteri(gl.TEXTURE_2D, way, gl.CLAMP_TO_EDGE);
    return { texture, within: [x0, y0, size, size] };
  }

  /** Lays the pieces side by side, the first to the left as seen from the handle's end. */
  lay() {
    const all = [...this.pieces].sort(([a], [b]) => a - b).map(([, piece]) => piece);
    let across = 0;
    for (const piece of all) {
      across -= piece.high[1];
      piece.shift = across;
      across += piece.low[1] - 22;
    }
    const least = [Infinity, Infinity, Infinity], most = [-Infinity, -Infinity, -Infinity];
    for (const { low, high, shift } of all) {
      [0, 1, 2].forEach((k) => {
        least[k] = Math.min(least[k], low[k] + (k === 1 ? shift : 0));
        most[k] = Math.max(most[k], high[k] + (k === 1 ? shift : 0));
      });
    }
    this.middle = least.map((low, k) => (low + most[k]) / 2);
    this.size = most.map((high, k) => high - least[k]);
  }

  ask() {
    if (!this.asked) {
      this.asked = requestAnimationFrame(() => {
        this.asked = 0;
        this.draw();
      });
    }
  }

  /** Draws a mesh in a wood. */
  wood(paint, mesh) {
    const gl = this.gl;
    gl.uniform3fv(this.uniform.early, paint.early.map(linear));
    gl.uniform3fv(this.uniform.late, paint.late.map(linear));
    for (const name of ["rings", "fibres", "spacing"]) gl.uniform1f(this.uniform[name], paint[name]);
    gl.drawElements(gl.TRIANGLES, mesh.triangles.length, gl.UNSIGNED_INT, 0);
  }

  draw() {
    const { gl, canvas } = this;
    const fine = Math.min(devicePixelRatio || 1, 2);
    const wide = Math.round(canvas.clientWidth * fine), high = Math.round(canvas.clientHeight * fine);
    if (!wide || !high || !this.pieces.size) return;
    if (canvas.width !== wide || canvas.height !== high) Object.assign(canvas, { width: wide, height: high });
    gl.viewport(0, 0, wide, high);
    gl.clearColor(0, 0, 0, 0);
    gl.clear(gl.COLOR_BUFFER_BIT | gl.DEPTH_BUFFER_BIT);
    gl.useProgram(this.program);
    // Seen from the right (-Y) with the handle's end to the left; turned round Z, then tilted.
    const [c, s, u, v] = [Math.cos(this.round), Math.sin(this.round), Math.cos(this.high), Math.sin(this.high)];
    const right = [c, s, 0], up = [-s * v, c * v, u], back = [s * u, -c * u, v];
    // What the box of all pieces takes of the screen, and so how far away the eye must be.
    const spread = (axis) => axis.reduce((sum, part, k) => sum + (Math.abs(part) * this.size[k]) / 2, 0);
    const lens = 4.2;
    const away = (Math.max((spread(right) * lens) / (wide / high), spread(up) * lens) * 1.06) / this.near + spread(back) * 0.4;
    const dot = (a, b) => a[0] * b[0] + a[1] * b[1] + a[2] * b[2];
    const reach = Math.hypot(...this.size), nearest = Math.max(away - reach, away * 0.02), farthest = away + reach;
    const [fx, fy] = [lens / (wide / high), lens];
    const fz = (farthest + nearest) / (nearest - farthest), fw = (2 * farthest * nearest) / (nearest - farthest);
    const m = new Float32Array(16);
    [0, 1, 2].forEach((k) => {
      m[k * 4] = fx * right[k];
      m[k * 4 + 1] = fy * up[k];
      m[k * 4 + 2] = fz * back[k];
      m[k * 4 + 3] = -back[k];
    });
    m[12] = -fx * dot(right, this.middle);
    m[13] = -fy * dot(up, this.middle);
    m[14] = -fz * (dot(back, this.middle) + away) + fw;
    m[15] = dot(back, this.middle) + away;
    gl.uniformMatrix4fv(this.uniform.toScreen, false, m);
    gl.uniformMatrix3fv(this.uniform.turn, false, [right[0], up[0], back[0], right[1], up[1], back[1], right[2], up[2], back[2]]);
    for (const [file, { array, mesh, paint, shift, letIn }] of this.pieces) {
      // The one whose file is open stands out.
      gl.uniform1f(this.uniform.solid, this.chosen === file || !this.pieces.has(this.chosen) ? 1 : 0.5);
      gl.uniform3f(this.uniform.shift, 0, shift, 0);
      gl.bindVertexArray(array);
      gl.uniform1f(this.uniform.side, 0);
      this.wood(paint, mesh);
      gl.depthFunc(gl.LEQUAL);
      for (const { face, paint, drawn } of letIn) {
        gl.bindTexture(gl.TEXTURE_2D, drawn.texture);
        gl.uniform4fv(this.uniform.within, drawn.within);
        gl.uniform1f(this.uniform.side, face === "top" ? 1 : -1);
        this.wood(paint, mesh);
      }
      gl.depthFunc(gl.LESS);
    }
    gl.bindVertexArray(null);
    this.number += 1;
    canvas.dataset.drawn = this.number;
  }
}
