// One linkage in space: bodies that move as the model says, its joints, and arrows of what presses where.

import { arrowGeometry, barGeometry, coilGeometry, dashedRing, floorLines, jointHalves, rigidBar, ringGeometries, wheelLines } from "./solids.js";

const FILL = {
  vertexShader: "varying vec3 n; void main(){ n = normalize(mat3(modelViewMatrix) * normal); gl_Position = projectionMatrix * modelViewMatrix * vec4(position, 1.0); }",
  fragmentShader: "uniform vec3 dark; uniform vec3 light; varying vec3 n; void main(){ float s = clamp(0.5 + 0.5 * dot(normalize(n), vec3(-0.42, 0.66, 0.62)), 0.0, 1.0); gl_FragColor = vec4(mix(dark, light, s), 1.0);\n#include <colorspace_fragment>\n}",
};
const OUTLINE = {
  vertexShader: "uniform vec2 reach; void main(){ vec3 n = normalize(mat3(modelViewMatrix) * normal); gl_Position = projectionMatrix * modelViewMatrix * vec4(position, 1.0); gl_Position.xy += normalize(n.xy + vec2(1e-6)) * reach * gl_Position.w; }",
  fragmentShader: "uniform vec3 ink; void main(){ gl_FragColor = vec4(ink, 1.0);\n#include <colorspace_fragment>\n}",
};
const LEAST_SHOWN_N = 25;
/** Of an arrow [mm] per square root of its force [N]. */
const ARROW_MM = 3.0;

/** The inks of a drawing, and its line weights in pixels; `pixel` is the size of one in clip space. */
export function makeInks(T, colors, pixel) {
  const ink = new T.Color(colors.ink);
  const paper = new T.Color(colors.paper);
  const mixed = (share) => paper.clone().lerp(ink, share);
  const outline = (color, width) => new T.ShaderMaterial({ ...OUTLINE, side: T.BackSide, uniforms: { ink: { value: color }, reach: { value: pixel.clone().multiplyScalar(width) } } });
  const fill = (dark, light) => new T.ShaderMaterial({ ...FILL, side: T.DoubleSide, polygonOffset: true, polygonOffsetFactor: 1, polygonOffsetUnits: 1, uniforms: { dark: { value: dark }, light: { value: light } } });
  return {
    solid: { fill: fill(mixed(0.2), paper), outline: outline(ink, 1.5), line: new T.LineBasicMaterial({ color: ink }) },
    heavy: { fill: fill(mixed(0.2), paper), outline: outline(ink, 3.2), line: new T.LineBasicMaterial({ color: ink }) },
    frame: { fill: fill(mixed(0.08), paper), outline: outline(mixed(0.5), 1), line: new T.LineBasicMaterial({ color: mixed(0.5) }) },
    worn: { order: 2, fill: new T.MeshBasicMaterial({ color: ink, depthTest: false }), outline: outline(ink, 3.2), line: new T.LineBasicMaterial({ color: ink }) },
    ghost: { fill: fill(paper, paper), outline: outline(mixed(0.42), 1.2), line: new T.LineBasicMaterial({ color: mixed(0.42) }) },
    phantom: new T.LineBasicMaterial({ color: mixed(0.55) }),
    flat: new T.MeshBasicMaterial({ color: ink, side: T.DoubleSide, depthTest: false }),
    arrow: new T.MeshBasicMaterial({ color: ink, depthTest: false }),
    hand: new T.MeshBasicMaterial({ color: paper, depthTest: false }),
    handEdge: new T.ShaderMaterial({ ...OUTLINE, side: T.BackSide, depthTest: false, uniforms: { ink: { value: ink }, reach: { value: pixel.clone().multiplyScalar(2.6) } } }),
  };
}

/** A linkage of `shown.scene` that follows one course of it; a ghost is drawn faint and carries no arrows. */
export class Linkage {
  constructor(T, shown, course, inks, { ghost = false, worn = true } = {}) {
    Object.assign(this, { T, shown, course, inks, ghost, group: new T.Group(), held: [], flexing: [], arrows: [], hands: [], rings: [] });
    const count = shown.scene.bodies.length;
    this.width = 6 * count;
    this.state = new Float64Array(this.width);
    this.flat = course.displacements.map((step) => Float64Array.from(step.flat()));
    this.forces = course.forces_N.map((step) => Float64Array.from(step.flat()));
    this.force = new Float64Array(3 * shown.scene.joints.length);
    this.origins = shown.scene.bodies.map((body) => body.origin);
    this.scratch = { matrix: new T.Matrix4(), a: new T.Vector3(), b: new T.Vector3(), c: new T.Vector3(), turn: new T.Quaternion(), up: new T.Vector3(0, 0, 1) };
    this.joints = shown.scene.joints.map((joint) => ({ ...joint, worn: worn && joint.worn }));
    this.#build();
    if (!ghost) this.#buildArrows();
  }

  #build() {
    const { T, shown, inks } = this;
    const solids = new Map();
    const wornSolids = new Map();
    const lines = new Map();
    const put = (where, body, geometry) => { if (geometry) where.set(body, [...(where.get(body) ?? []), geometry]); };
    for (const bar of shown.scene.bars) {
      if (bar.bodies[0] === bar.bodies[1]) put(solids, bar.bodies[0], rigidBar(T, bar));
      else this.#flex(bar);
    }
    for (const ring of shown.scene.rings) for (const geometry of ringGeometries(T, ring)) put(solids, ring.body, geometry);
    for (const joint of this.joints) {
      const [inside, housing] = jointHalves(T, joint);
      put(joint.worn ? wornSolids : solids, joint.bodies[1], inside);
      put(solids, joint.bodies[0], housing);
      if (joint.kind === "tire") put(lines, -1, floorLines(T, joint.place));
    }
    for (const wheel of shown.scene.wheels) put(lines, wheel.body, wheelLines(T, wheel));
    const beside = new Set(this.joints.filter((joint) => joint.worn).flatMap((joint) => joint.bodies));
    const frame = shown.scene.bodies.findIndex((body) => body.name === "frame");
    for (const [body, geometries] of solids) {
      const own = this.ghost ? inks.ghost : body === frame ? inks.frame : beside.has(body) ? inks.heavy : inks.solid;
      this.#hold(body, T.mergeGeometries(geometries.map(plain)), own);
    }
    for (const [body, geometries] of wornSolids) this.#hold(body, T.mergeGeometries(geometries.map(plain)), this.ghost ? inks.ghost : inks.worn);
    for (const [body, points] of lines) {
      const drawn = new T.LineSegments(new T.BufferGeometry().setFromPoints(points.flat()), this.ghost ? inks.ghost.line : inks.phantom);
      this.#keep(body, drawn);
    }
  }

  #hold(body, geometry, inks) {
    const { T } = this;
    for (const part of [new T.Mesh(geometry, inks.outline), new T.Mesh(geometry, inks.fill), new T.LineSegments(new T.EdgesGeometry(geometry, 40), inks.line)]) {
      part.renderOrder = inks.order ?? 0;
      this.#keep(body, part);
    }
  }

  #keep(body, part) {
    part.matrixAutoUpdate = false;
    part.frustumCulled = false;
    this.group.add(part);
    this.held.push({ body, part });
  }

  #flex(bar) {
    const { T, inks } = this;
    const [start, end] = bar.places.map((place) => new T.Vector3(...place));
    const length = Math.max(start.distanceTo(end), 1);
    const geometry = bar.kind === "coil" ? coilGeometry(T, length, bar.radius) : barGeometry(T, length, bar.radius);
    const own = this.ghost ? inks.ghost : inks.solid;
    const parts = [new T.Mesh(geometry, own.outline), new T.Mesh(geometry, own.fill)];
    if (bar.kind !== "coil") parts.push(new T.LineSegments(new T.EdgesGeometry(geometry, 40), own.line));
    for (const part of parts) {
      part.matrixAutoUpdate = false;
      part.frustumCulled = false;
      this.group.add(part);
    }
    this.flexing.push({ bar, length, parts });
  }

  #buildArrows() {
    const { T, inks } = this;
    const inner = towardFrame(this.shown.scene);
    const load = arrowGeometry(T, 0.05, 0.03);
    this.joints.forEach((joint, number) => {
      if (joint.kind === "guide") return;
      const mesh = new T.Mesh(load, inks.arrow);
      this.#loose(mesh, 3);
      const sign = inner(joint.bodies) === joint.bodies[1] ? 1 : -1;
      this.arrows.push({ mesh, number, sign, joint });
      if (!joint.part) return;
      const ring = new T.Mesh(dashedRing(T), inks.flat);
      this.#loose(ring, 4);
      this.rings.push({ mesh: ring, number, joint });
    });
    const hand = arrowGeometry(T, 0.045, 0.045);
    for (const given of this.shown.hands) {
      const meshes = [new T.Mesh(hand, inks.handEdge), new T.Mesh(hand, inks.hand)];
      meshes.forEach((mesh, k) => this.#loose(mesh, 5 + k));
      this.hands.push({ given, meshes });
    }
  }

  #loose(mesh, order) {
    mesh.matrixAutoUpdate = false;
    mesh.frustumCulled = false;
    mesh.renderOrder = order;
    this.group.add(mesh);
  }

  /** Set to `part` of the way from one step to the next, `times` exaggerated; `facing` turns rings to the reader. */
  pose(step, part, times, facing) {
    const next = Math.min(step + 1, this.flat.length - 1);
    mix(this.state, this.flat[step], this.flat[next], part);
    mix(this.force, this.forces[step], this.forces[next], part);
    this.times = times;
    const matrices = new Map();
    for (const { body, part: drawn } of this.held) {
      if (body < 0) continue;
      if (!matrices.has(body)) matrices.set(body, this.#matrix(body));
      drawn.matrix.copy(matrices.get(body));
      drawn.matrixWorldNeedsUpdate = true;
    }
    for (const entry of this.flexing) this.#bend(entry);
    if (!this.ghost) this.#point(part < 0.5 ? step : next, step + part, facing);
  }

  /** Where a place [mm] of a body is now, exaggerated, into `into`. */
  moved(body, place, into) {
    into.set(...place);
    if (body < 0) return into;
    const [tx, ty, tz, rx, ry, rz] = this.state.subarray(6 * body, 6 * body + 6);
    const [ox, oy, oz] = this.origins[body];
    const [x, y, z] = [place[0] - ox, place[1] - oy, place[2] - oz];
    const s = this.times;
    into.x += s * (tx + ry * z - rz * y);
    into.y += s * (ty + rz * x - rx * z);
    into.z += s * (tz + rx * y - ry * x);
    return into;
  }

  // Linear in the displacement, so that joints stay together and every place moves exactly `times` as far as it does.
  #matrix(body) {
    const s = this.times;
    const [tx, ty, tz, rx, ry, rz] = this.state.subarray(6 * body, 6 * body + 6);
    const [ox, oy, oz] = this.origins[body];
    return new this.T.Matrix4().set(
      1, -s * rz, s * ry, s * (tx + rz * oy - ry * oz),
      s * rz, 1, -s * rx, s * (ty + rx * oz - rz * ox),
      -s * ry, s * rx, 1, s * (tz + ry * ox - rx * oy),
      0, 0, 0, 1,
    );
  }

  #bend({ bar, length, parts }) {
    const { a, b, c, turn, matrix, up } = this.scratch;
    this.moved(bar.bodies[0], bar.places[0], a);
    this.moved(bar.bodies[1], bar.places[1], b);
    c.copy(b).sub(a);
    const now = c.length();
    turn.setFromUnitVectors(up, c.divideScalar(Math.max(now, 1e-6)));
    matrix.compose(a, turn, b.set(1, 1, now / length));
    for (const part of parts) {
      part.matrix.copy(matrix);
      part.matrixWorldNeedsUpdate = true;
    }
  }

  #point(nearest, at, facing) {
    const { a, b, c, turn, matrix, up } = this.scratch;
    let most = 0;
    for (let k = 0; k < this.force.length; k += 3) most = Math.max(most, Math.hypot(this.force[k], this.force[k + 1], this.force[k + 2]));
    for (const { mesh, number, sign, joint } of this.arrows) {
      c.set(this.force[3 * number], this.force[3 * number + 1], this.force[3 * number + 2]);
      const size = c.length();
      mesh.visible = size > Math.max(LEAST_SHOWN_N, 0.035 * most);
      if (!mesh.visible) continue;
      turn.setFromUnitVectors(up, c.multiplyScalar(sign / size));
      const long = ARROW_MM * Math.sqrt(size);
      matrix.compose(this.moved(joint.bodies[1], joint.place, a), turn, b.set(long, long, long));
      mesh.matrix.copy(matrix);
      mesh.matrixWorldNeedsUpdate = true;
    }
    for (const { mesh, number, joint } of this.rings) {
      mesh.visible = this.course.slack[nearest][number];
      if (!mesh.visible) continue;
      matrix.compose(this.moved(joint.bodies[1], joint.place, a), facing, b.set(44, 44, 44));
      mesh.matrix.copy(matrix);
      mesh.matrixWorldNeedsUpdate = true;
    }
    const { shares } = this.shown;
    const low = Math.floor(at);
    const share = shares[low] + (at - low) * ((shares[low + 1] ?? shares[low]) - shares[low]);
    for (const { given, meshes } of this.hands) {
      c.set(...given.force_N).multiplyScalar(share);
      const size = c.length();
      const seen = size > 1;
      if (seen) turn.setFromUnitVectors(up, c.divideScalar(size));
      const long = 90 + 150 * Math.abs(share);
      matrix.compose(this.moved(given.body, given.place, a), turn, b.set(long, long, long));
      for (const mesh of meshes) {
        mesh.visible = seen;
        mesh.matrix.copy(matrix);
        mesh.matrixWorldNeedsUpdate = true;
      }
    }
  }

  /** Give back what the drawing card holds. */
  dispose() {
    this.group.traverse((part) => part.geometry?.dispose());
  }
}

function plain(geometry) {
  const own = geometry.index ? geometry.toNonIndexed() : geometry;
  for (const name of Object.keys(own.attributes)) if (name !== "position" && name !== "normal") own.deleteAttribute(name);
  return own;
}

function mix(into, from, to, part) {
  for (let k = 0; k < into.length; k += 1) into[k] = from[k] + part * (to[k] - from[k]);
}

/** A function that tells which of two bodies is nearer to the frame, over joints that always hold. */
function towardFrame(scene) {
  const far = scene.bodies.map(() => Infinity);
  const frame = scene.bodies.findIndex((body) => body.name === "frame");
  let edge = [frame];
  for (let steps = 0; edge.length; steps += 1) {
    for (const body of edge) far[body] = Math.min(far[body], steps);
    const holds = scene.joints.filter((joint) => joint.kind !== "stop" && joint.kind !== "stand" && joint.kind !== "tire");
    edge = [...new Set(holds.flatMap(({ bodies: [a, b] }) => (edge.includes(a) ? [b] : edge.includes(b) ? [a] : [])))].filter((body) => body >= 0 && far[body] === Infinity);
  }
  const way = (body) => (body < 0 ? Infinity : far[body]);
  return ([a, b]) => (way(a) < way(b) ? a : b);
}
