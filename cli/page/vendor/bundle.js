export {
  AmbientLight, BufferAttribute, BufferGeometry, DirectionalLight, DoubleSide, Group, Matrix4, Mesh,
  MeshLambertMaterial, OrthographicCamera, Points, PointsMaterial, Raycaster, Scene, ShaderMaterial, Vector2, Vector3,
  WebGLRenderer,
} from "three";
export { acceleratedRaycast, MeshBVH } from "three-mesh-bvh";
