// The solids of one linkage, as geometries in vehicle axes [mm]: x forward, y left, z up.

const Z = [0, 0, 1];

/** A matrix that carries a solid drawn along z about the origin to a place, its z along the axis. */
function standing(T, place, axis) {
  const turn = new T.Quaternion().setFromUnitVectors(new T.Vector3(...Z), new T.Vector3(...axis).normalize());
  return new T.Matrix4().makeRotationFromQuaternion(turn).setPosition(...place);
}

/** A round bar along z from 0 to its length. */
export function barGeometry(T, length, radius) {
  return new T.CylinderGeometry(radius, radius, length, 12, 1).rotateX(Math.PI / 2).translate(0, 0, length / 2);
}

/** A coil along z from 0 to its length. */
export function coilGeometry(T, length, radius) {
  const turns = 6;
  const points = Array.from({ length: 73 }, (_, k) => {
    const angle = (k / 72) * turns * 2 * Math.PI;
    return new T.Vector3(0.82 * radius * Math.cos(angle), 0.82 * radius * Math.sin(angle), (k / 72) * length);
  });
  return new T.TubeGeometry(new T.CatmullRomCurve3(points), 120, 0.15 * radius, 6);
}

/** A rigid bar between two places. */
export function rigidBar(T, bar) {
  const start = new T.Vector3(...bar.places[0]);
  const along = new T.Vector3(...bar.places[1]).sub(start);
  const length = along.length();
  if (length < 1) return null;
  const radius = bar.kind === "bracket" ? 9 : Math.min(bar.radius, 45);
  return barGeometry(T, length, radius).applyMatrix4(standing(T, bar.places[0], along.toArray()));
}

/** The two halves of a joint: what sits on its second body, and the housing on its first; either may be null. */
export function jointHalves(T, joint) {
  const at = standing(T, joint.place, joint.axis);
  const swell = joint.worn ? 1.35 : 1;
  const ring = (radius, tube) => new T.TorusGeometry(radius * swell, tube * swell, 8, 20).applyMatrix4(at);
  const pin = (radius, length) => new T.CylinderGeometry(radius * swell, radius * swell, length, 14).rotateX(Math.PI / 2).applyMatrix4(at);
  if (joint.kind === "ball") return [new T.SphereGeometry(16 * swell, 16, 10).applyMatrix4(at), ring(23, 4)];
  if (joint.kind === "pin") return [pin(9, 56), ring(17, 4.5)];
  if (joint.kind === "rubber") return [pin(7, 60), ring(17, 8)];
  if (joint.kind === "slot") return [pin(8, 40), ring(15, 4)];
  if (joint.kind === "stop") return [pin(16, 22), null];
  if (joint.kind === "stand") return [null, stand(T).applyMatrix4(new T.Matrix4().makeTranslation(...joint.place))];
  return [null, null];
}

/** A jack stand: its head at the origin. */
function stand(T) {
  const profile = [[0, 0], [34, 0], [34, -12], [17, -14], [17, -90], [60, -230], [66, -230], [66, -238], [0, -238]];
  return new T.LatheGeometry(profile.map(([r, z]) => new T.Vector2(r, z)).reverse(), 16).rotateX(Math.PI / 2);
}

/** A wheel as phantom lines, dash and dot: its circles and a few marks across the tread, so that the linkage stays seen. */
export function wheelLines(T, wheel) {
  const at = standing(T, wheel.center, wheel.axis);
  const points = [];
  const half = wheel.width / 2;
  const circle = (radius, z) => {
    const parts = 160;
    for (let k = 0; k < parts; k += 1) {
      if (k % 8 === 5 || k % 8 === 7) continue;
      for (const end of [k, k + 1]) {
        const angle = (end / parts) * 2 * Math.PI;
        points.push(new T.Vector3(radius * Math.cos(angle), radius * Math.sin(angle), z));
      }
    }
  };
  for (const z of [-half, half]) circle(0.96 * wheel.radius, z);
  for (const z of [-0.7 * half, 0.7 * half]) circle(wheel.radius, z);
  circle(0.55 * wheel.radius, half);
  for (let k = 0; k < 12; k += 1) {
    const angle = (k / 12) * 2 * Math.PI;
    const out = [wheel.radius * Math.cos(angle), wheel.radius * Math.sin(angle)];
    points.push(new T.Vector3(...out, -0.7 * half), new T.Vector3(...out, 0.7 * half));
  }
  return points.map((point) => point.applyMatrix4(at));
}

/** A steering wheel's rim and its three spokes. */
export function ringGeometries(T, ring) {
  const at = standing(T, ring.center, ring.axis);
  const rim = new T.TorusGeometry(ring.radius - 13, 13, 8, 40);
  const spokes = [0, 1, 2].map((k) => barGeometry(T, ring.radius - 13, 8).rotateY(Math.PI / 2).rotateZ((k * 2 * Math.PI) / 3 + Math.PI / 2));
  return [rim, ...spokes].map((geometry) => geometry.applyMatrix4(at));
}

/** Hatching under a tire: the floor. */
export function floorLines(T, place) {
  const points = [];
  for (let k = -4; k <= 4; k += 1) points.push(new T.Vector3(place[0] + 50 * k - 25, place[1] - 130, 0), new T.Vector3(place[0] + 50 * k + 25, place[1] + 130, 0));
  return points;
}

/** An arrow along z whose tip is at the origin, one long; its tail is wider than its neck, as a load path tapers. */
export function arrowGeometry(T, tail, neck) {
  const profile = [[0, -1], [tail, -1], [neck, -0.28], [0.085, -0.28], [0, 0]];
  return new T.LatheGeometry(profile.map(([r, z]) => new T.Vector2(r, z)), 12).rotateX(Math.PI / 2);
}

/** A dashed ring about the origin, one in radius, in the plane of x and y. */
export function dashedRing(T) {
  const places = [];
  const dashes = 12;
  for (let k = 0; k < dashes; k += 1) {
    const [a, b] = [k, k + 0.55].map((part) => (part / dashes) * 2 * Math.PI);
    const corner = (r, angle) => [r * Math.cos(angle), r * Math.sin(angle), 0];
    places.push(...corner(0.92, a), ...corner(1.08, a), ...corner(1.08, b), ...corner(0.92, a), ...corner(1.08, b), ...corner(0.92, b));
  }
  return new T.BufferGeometry().setAttribute("position", new T.BufferAttribute(new Float32Array(places), 3));
}
