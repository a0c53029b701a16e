export {
  AmbientLight, BufferAttribute, BufferGeometry, Color, DirectionalLight, DoubleSide, Group, HemisphereLight, Line,
  LineBasicMaterial, Matrix4, Mesh, MeshLambertMaterial, OrthographicCamera, Raycaster, Scene, ShaderMaterial, Vector2,
  Vector3, WebGLRenderer,
} from "three";
export { acceleratedRaycast, MeshBVH } from "three-mesh-bvh";
