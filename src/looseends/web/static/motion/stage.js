// The picture: one camera, the sound vehicle beside the worn one or thin behind it, drawn only when something changed.

import { Linkage, makeInks } from "./linkage.js";

export const VIEWS = { space: [1, 1.15, 0.62], front: [1, 0.0001, 0.02], side: [0.0001, 1, 0.02], below: [0.02, 0.0001, -1] };

/** The drawing surface over a canvas; `T` is the drawing library. */
export class Stage {
  constructor(T, canvas, labels, colors, scriptTimes) {
    this.T = T;
    this.canvas = canvas;
    this.labels = labels;
    this.times = scriptTimes;
    this.renderer = new T.WebGLRenderer({ canvas, antialias: true, powerPreference: "low-power" });
    this.renderer.autoClear = false;
    this.pixel = new T.Vector2(0.004, 0.004);
    this.camera = new T.OrthographicCamera(-1, 1, 1, -1, -6000, 6000);
    this.camera.up.set(0, 0, 1);
    this.controls = new T.OrbitControls(this.camera, canvas);
    this.controls.enableDamping = false;
    this.controls.listenToKeyEvents(canvas);
    this.controls.keyPanSpeed = 24;
    this.controls.addEventListener("change", () => this.ask());
    this.colors = colors;
    this.linkages = [];
    this.scenes = { sound: new T.Scene(), worn: new T.Scene(), ghost: new T.Scene() };
    this.beside = true;
    this.pins = [];
    this.at = { step: 0, part: 0, times: 1 };
    new ResizeObserver(() => this.resize()).observe(canvas.parentElement);
  }

  /** Put another motion on the stage; `keep`: the camera stays where the reader turned it. */
  show(shown, keep) {
    const { T } = this;
    for (const linkage of this.linkages) {
      linkage.group.removeFromParent();
      linkage.dispose();
    }
    this.inks ??= makeInks(T, this.colors, this.pixel);
    this.sound = new Linkage(T, shown, shown.sound, this.inks, { worn: false });
    this.worn = new Linkage(T, shown, shown.worn, this.inks);
    this.behind = new Linkage(T, shown, shown.sound, this.inks, { ghost: true });
    this.firstEnd = new Linkage(T, shown, shown.worn, this.inks, { ghost: true });
    this.linkages = [this.sound, this.worn, this.behind, this.firstEnd];
    this.scenes.sound.add(this.sound.group);
    this.scenes.worn.add(this.worn.group);
    this.scenes.ghost.add(this.behind.group, this.firstEnd.group);
    this.shown = shown;
    if (!keep) this.look("space");
    this.resize();
  }

  /** Turn the camera to a named view of what is worked on. */
  look(view) {
    const { center, reach } = about(this.shown);
    const way = new this.T.Vector3(...VIEWS[view]).normalize();
    if (this.shown.setup.side === "right") way.y = -way.y;
    this.controls.target.set(...center);
    this.camera.position.set(...center).addScaledVector(way, 3000);
    this.camera.zoom = 1;
    this.reach = reach;
    this.resize();
    this.controls.update();
  }

  /** Where in the stroke everything is; `bothEnds` draws the first end thin behind the present one. */
  pose(step, part, times, bothEnds) {
    this.at = { step, part, times };
    this.bothEnds = bothEnds;
    this.ask();
  }

  /** Draw at the next frame. */
  ask() {
    if (this.asked || !this.shown) return;
    this.asked = true;
    requestAnimationFrame(() => {
      this.asked = false;
      this.#draw();
    });
  }

  resize() {
    const box = this.canvas.parentElement.getBoundingClientRect();
    if (!box.width || !box.height) return;
    this.size = { width: Math.round(box.width), height: Math.round(box.height) };
    this.renderer.setPixelRatio(Math.min(window.devicePixelRatio || 1, 2));
    this.renderer.setSize(this.size.width, this.size.height, false);
    this.ask();
  }

  /** The parts of the picture: name of the scene, and left, bottom, width and height in pixels. */
  panes() {
    const { width, height } = this.size;
    if (!this.beside) return [["worn", 0, 0, width, height]];
    if (width < 520) return [["sound", 0, height / 2, width, height / 2], ["worn", 0, 0, width, height / 2]];
    return [["sound", 0, 0, width / 2, height], ["worn", width / 2, 0, width / 2, height]];
  }

  #draw() {
    const started = performance.now();
    const { step, part, times } = this.at;
    const facing = this.camera.quaternion;
    if (this.beside) this.sound.pose(step, part, times, facing);
    this.worn.pose(step, part, times, facing);
    this.behind.group.visible = !this.beside && !this.bothEnds;
    this.firstEnd.group.visible = this.bothEnds;
    if (this.behind.group.visible) this.behind.pose(step, part, times, facing);
    if (this.bothEnds) this.firstEnd.pose(0, 0, times, facing);
    const panes = this.panes();
    const [, , , width, height] = panes[0];
    const half = this.reach ?? 700;
    const [x, y] = width < height ? [half, (half * height) / width] : [(half * width) / height, half];
    Object.assign(this.camera, { left: -x, right: x, top: y, bottom: -y });
    this.camera.updateProjectionMatrix();
    this.camera.updateMatrixWorld();
    this.pixel.set(2 / width, 2 / height);
    for (const ink of Object.values(this.inks)) for (const material of [ink.outline, ink]) {
      const reach = material?.uniforms?.reach;
      if (reach) reach.value.copy(this.pixel).multiplyScalar((reach.weight ??= reach.value.x / 0.004));
    }
    this.#label(panes);
    const updated = performance.now();
    this.renderer.setScissorTest(false);
    this.renderer.setClearColor(this.colors.paper, 1);
    this.renderer.clear();
    this.renderer.setScissorTest(true);
    this.triangles = 0;
    for (const [name, left, bottom, wide, high] of panes) {
      this.renderer.setViewport(left, bottom, wide, high);
      this.renderer.setScissor(left, bottom, wide, high);
      if (name === "worn" && (this.behind.group.visible || this.firstEnd.group.visible)) {
        this.renderer.render(this.scenes.ghost, this.camera);
        this.triangles += this.renderer.info.render.triangles;
        this.renderer.clearDepth();
      }
      this.renderer.render(this.scenes[name], this.camera);
      this.triangles += this.renderer.info.render.triangles;
    }
    this.times?.push({ update: updated - started, all: performance.now() - started, triangles: this.triangles });
  }

  /** Words at their places: `pins` are { pane, body, place, element }, put over the picture. */
  #label(panes) {
    const point = (this.point ??= new this.T.Vector3());
    for (const { pane, body, place, element } of this.pins) {
      const found = panes.find(([name]) => name === pane);
      element.hidden = !found;
      if (!found) continue;
      const [, left, bottom, width, height] = found;
      this[pane].moved(body, place, point).project(this.camera);
      const x = left + ((point.x + 1) / 2) * width;
      const y = this.size.height - bottom - ((point.y + 1) / 2) * height;
      const inside = Math.abs(point.x) < 1 && Math.abs(point.y) < 1;
      element.hidden = !inside;
      element.style.transform = `translate(${x.toFixed(1)}px, ${y.toFixed(1)}px)`;
    }
  }
}

/** Middle and half height [mm] of what is gripped, watched and worn. */
function about(shown) {
  const places = [
    ...shown.hands.map((hand) => hand.place),
    ...shown.watches.flatMap((watch) => watch.spots.map((spot) => spot.place)),
    ...shown.scene.joints.filter((joint) => joint.worn).map((joint) => joint.place),
  ];
  if (!places.length) places.push([0, 0, 400]);
  const low = [0, 1, 2].map((k) => Math.min(...places.map((place) => place[k])));
  const high = [0, 1, 2].map((k) => Math.max(...places.map((place) => place[k])));
  const size = Math.hypot(...low.map((value, k) => high[k] - value));
  return { center: low.map((value, k) => (value + high[k]) / 2), reach: Math.min(Math.max(0.72 * size, 480), 1000) };
}
