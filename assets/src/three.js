// Drawing in space, for the motion view alone: https://threejs.org, MIT. Only what that page uses.
export {
  BackSide, BufferAttribute, BufferGeometry, Color, ConeGeometry, CylinderGeometry, DoubleSide, EdgesGeometry, Group,
  LatheGeometry, LineBasicMaterial, LineSegments, Matrix4, Mesh, MeshBasicMaterial, OrthographicCamera, Quaternion,
  Scene, ShaderMaterial, SphereGeometry, TorusGeometry, TubeGeometry, CatmullRomCurve3, Vector2, Vector3, WebGLRenderer,
} from "three";
export { OrbitControls } from "three/examples/jsm/controls/OrbitControls.js";
export { mergeGeometries } from "three/examples/jsm/utils/BufferGeometryUtils.js";
