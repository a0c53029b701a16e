// The picture: the scan, the leather on it, and the leather laid flat, in one scene under one camera.

import {
  AmbientLight, BufferAttribute, BufferGeometry, DirectionalLight, DoubleSide, Group, Matrix4, Mesh,
  MeshLambertMaterial, MeshBVH, OrthographicCamera, Points, PointsMaterial, Raycaster, Scene, ShaderMaterial, Vector2,
  Vector3, WebGLRenderer, acceleratedRaycast,
} from "/static/vendor/three.js";
import { colours } from "/static/colours.js";
import { FRAGMENT, VERTEX } from "/static/shaders.js";
import { leatherLeft, layout, toWorld, view } from "/static/view.js";

Mesh.prototype.raycast = acceleratedRaycast;

const canvas = document.getElementById("picture");
const renderer = new WebGLRenderer({ canvas, antialias: !isDrawnBySoftware(), alpha: true });
const scene = new Scene();
const camera = new OrthographicCamera();
const limb = new Group();
const inLimb = new Group(); // limb coordinates: front, lateral, height
const sun = new DirectionalLight(0xffffff, 2.1);
const skinMaterial = new MeshLambertMaterial({ side: DoubleSide });
const dots = new PointsMaterial({ size: 2, sizeAttenuation: false });
const markedMaterial = new MeshLambertMaterial({ side: DoubleSide, vertexColors: true });
const markedDots = new PointsMaterial({ size: 2, sizeAttenuation: false, vertexColors: true });
const raycaster = new Raycaster();
let scan = null;
let worn = null;
let panels = [];
let ramp = null;
let coloured = false;
let drawn = ""; // what the picture shows of the view; nothing where something else of it has changed

/** Whether pictures are drawn without a graphics card, where each sample of a pixel takes as long as the pixel. */
function isDrawnBySoftware() {
  const gl = document.createElement("canvas").getContext("webgl2");
  const named = gl?.getExtension("WEBGL_debug_renderer_info");
  const name = named ? gl.getParameter(named.UNMASKED_RENDERER_WEBGL) : "";
  gl?.getExtension("WEBGL_lose_context")?.loseContext();
  return /swiftshader|llvmpipe|softpipe|software|basic render/i.test(name);
}

/** The picture is no longer true: it is made again with the next drawing. */
function invalidate() {
  drawn = "";
}
canvas.addEventListener("webglcontextrestored", invalidate);

sun.position.set(-0.5, 0.7, 1);
limb.add(inLimb);
scene.add(limb, sun, new AmbientLight(0xffffff, 1.25));
camera.position.z = 4000; // before everything, or rays would begin inside the limb
camera.near = 1;
camera.far = 8000;
raycaster.firstHitOnly = true;

function leatherMaterial(relief) {
  const material = new ShaderMaterial({
    vertexShader: VERTEX,
    fragmentShader: FRAGMENT,
    side: DoubleSide,
    polygonOffset: relief > 0,
    polygonOffsetFactor: -1,
    polygonOffsetUnits: -2,
    defines: { STRETCHED: 1, SQUEEZED: 1 },
    uniforms: {
      even: { value: null }, hatch: { value: null }, rim: { value: null },
      stretched: { value: null }, squeezed: { value: null },
      stretchSteps: { value: null }, squeezeSteps: { value: null },
      relief: { value: relief }, dense: { value: renderer.getPixelRatio() },
    },
  });
  return material;
}

const onLimb = leatherMaterial(1);
const onBench = leatherMaterial(0);

/** Take the bands' lower ends, as shares: `stretch` and `squeeze`. They stay what they were at first. */
export function setRamp({ stretch, squeeze }) {
  if (ramp) return;
  ramp = { stretch, squeeze };
  for (const material of [onLimb, onBench]) {
    material.defines = { STRETCHED: stretch.length, SQUEEZED: squeeze.length };
    material.uniforms.stretchSteps.value = stretch;
    material.uniforms.squeezeSteps.value = squeeze;
  }
  recolour();
}

/** Take the colours of the page's present look. */
export function recolour() {
  invalidate();
  const now = colours(ramp?.stretch.length ?? 0, ramp?.squeeze.length ?? 0);
  for (const material of [onLimb, onBench]) {
    for (const name of ["even", "hatch", "rim", "stretched", "squeezed"]) material.uniforms[name].value = now[name];
  }
  skinMaterial.color.setRGB(...now.skin, "srgb");
  dots.color.setRGB(...now.soft, "srgb");
}

export function resize(width, height) {
  renderer.setPixelRatio(Math.min(2, window.devicePixelRatio));
  renderer.setSize(width, height, false);
  invalidate(); // a canvas that has another size is empty
  for (const material of [onLimb, onBench]) material.uniforms.dense.value = renderer.getPixelRatio();
}

/** Make the picture again, where it shows anything else: without a graphics card that takes longest of all. */
export function draw() {
  const wanted = JSON.stringify([view, layout.low, layout.high, layout.hand]);
  if (wanted === drawn) return;
  drawn = wanted;
  const halfWidth = view.width / 2 / view.scale;
  const halfHeight = view.height / 2 / view.scale;
  Object.assign(camera, {
    left: view.x - halfWidth, right: view.x + halfWidth, top: view.y + halfHeight, bottom: view.y - halfHeight,
  });
  camera.updateProjectionMatrix();
  const middle = (layout.low + layout.high) / 2;
  limb.position.set(0, middle, 0);
  limb.rotation.set(view.tip, view.turn, 0, "XYZ");
  const h = layout.hand;
  inLimb.matrixAutoUpdate = false;
  inLimb.matrix.set(0, h, 0, 0, 0, 0, 1, -middle, 1, 0, 0, 0, 0, 0, 0, 1);
  inLimb.matrixWorldNeedsUpdate = true;
  limb.visible = view.show !== "leather";
  for (const panel of panels) panel.flat.visible = view.show !== "limb";
  renderer.render(scene, camera);
}

function dispose(object) {
  if (!object) return;
  object.removeFromParent();
  object.geometry.dispose();
}

function shape(points, faces) {
  const geometry = new BufferGeometry();
  geometry.setAttribute("position", new BufferAttribute(points, 3));
  if (faces) geometry.setIndex(new BufferAttribute(faces, 1));
  return geometry;
}

/** The scan in its own axes, or nothing. */
export function setScan(arrays) {
  dispose(scan);
  scan = null;
  invalidate();
  if (!arrays) return;
  const { points, faces, colours: marks } = arrays;
  const geometry = shape(points, faces.length ? faces : null);
  if (marks) geometry.setAttribute("color", new BufferAttribute(linear(marks), 3));
  if (faces.length) geometry.computeVertexNormals();
  scan = faces.length ? new Mesh(geometry) : new Points(geometry);
  showColours(coloured);
  scan.matrixAutoUpdate = false;
  inLimb.add(scan);
}

/** Show of the scan only the points that are `meant` (1 for each that is), or all of it. */
export function setMeant(meant) {
  if (!scan) return;
  scan.geometry.userData.meant = meant;
  showWhole(false);
}

/** Show all of the scan for as long as another limb of it may be clicked: clicks fall on what is shown. */
export function showWhole(on) {
  if (!scan) return;
  const { geometry } = scan;
  const { meant } = geometry.userData;
  const { count } = geometry.attributes.position;
  const whole = geometry.userData.whole ?? geometry.index?.array ?? Uint32Array.from({ length: count }, (_, i) => i);
  geometry.userData.whole = whole;
  geometry.setIndex(new BufferAttribute(meant && !on ? meantOf(whole, meant) : whole, 1));
  geometry.boundsTree = undefined;
  invalidate();
}

/** The corners of the faces, or the points, that are meant whole. */
function meantOf(whole, meant) {
  const corners = scan.isMesh ? 3 : 1;
  return whole.filter((_, i) => {
    const first = i - (i % corners);
    for (let k = 0; k < corners; k++) if (!meant[whole[first + k]]) return false;
    return true;
  });
}

/** Colours from 0 to 255 as a screen has them, as light from 0 to 1 (IEC 61966-2-1). */
function linear(marks) {
  return Float32Array.from(marks, (value) => {
    const c = value / 255;
    return c <= 0.04045 ? c / 12.92 : ((c + 0.055) / 1.055) ** 2.4;
  });
}

/** Whether the scan brought colours of its own: a pen's marks on a stocking, perhaps. */
export function hasColours() {
  return scan?.geometry.hasAttribute("color") ?? false;
}

/** Show the scan in the colours that it brought, its leather taken off it; or the leather on plain skin. */
export function showColours(on) {
  coloured = on;
  invalidate();
  if (!scan) return;
  const own = hasColours() && (on || !panels.length);
  if (scan.isMesh) scan.material = own ? markedMaterial : skinMaterial;
  else scan.material = own ? markedDots : dots;
  for (const panel of panels) panel.worn.visible = !(own && on);
}

/** Set how the scan's own axes lie in the limb's: `axes` rows, `origin` and scale. Its lowest and highest place. */
export function placeScan(axes, origin, scale) {
  if (!scan) return null;
  invalidate();
  const [a, b, c] = axes;
  const turned = new Matrix4().set(a[0], a[1], a[2], 0, b[0], b[1], b[2], 0, c[0], c[1], c[2], 0, 0, 0, 0, 1);
  const moved = new Matrix4().makeTranslation(-origin[0], -origin[1], -origin[2]);
  scan.matrix.copy(turned.multiply(moved).multiply(new Matrix4().makeScale(scale, scale, scale)));
  scan.matrixWorldNeedsUpdate = true;
  const { array } = scan.geometry.attributes.position;
  const { meant } = scan.geometry.userData;
  let [low, high] = [Infinity, -Infinity];
  for (let i = 0; i < array.length; i += 3) {
    if (meant && !meant[i / 3]) continue;
    const [x, y, z] = [array[i] - origin[0], array[i + 1] - origin[1], array[i + 2] - origin[2]];
    const height = scale * (c[0] * x + c[1] * y + c[2] * z);
    low = Math.min(low, height);
    high = Math.max(high, height);
  }
  return { low, high };
}

/** The worn surface, which is not shown: clicks are read from it. */
export function setWorn(payload) {
  dispose(worn);
  worn = null;
  if (!payload) return;
  const [rows, columns] = payload.head.shape;
  const faces = new Uint32Array((rows - 1) * (columns - 1) * 6);
  let k = 0;
  for (let i = 0; i + 1 < rows; i++) {
    for (let j = 0; j + 1 < columns; j++) {
      const a = i * columns + j;
      faces.set([a, a + 1, a + columns, a + 1, a + columns + 1, a + columns], k);
      k += 6;
    }
  }
  const geometry = shape(payload.arrays.points, faces);
  geometry.boundsTree = new MeshBVH(geometry, { indirect: true });
  worn = new Mesh(geometry, new MeshLambertMaterial({ side: DoubleSide }));
  worn.material.visible = false;
  worn.chart = payload.arrays.chart;
  inLimb.add(worn);
}

/** The panels of a leather payload, on the limb and flat. */
export function setLeather(list) {
  for (const panel of panels) {
    dispose(panel.worn);
    dispose(panel.flat);
  }
  panels = list.map((panel) => {
    const count = panel.stretch.length;
    const strains = new Float32Array(3 * count);
    for (let i = 0; i < count; i++) strains.set([panel.stretch[i], panel.squeeze[i], panel.over[i]], 3 * i);
    const flatPoints = new Float32Array(3 * count);
    for (let i = 0; i < count; i++) flatPoints.set([panel.flat[2 * i], panel.flat[2 * i + 1], 0], 3 * i);
    const meshes = [[panel.worn, onLimb], [flatPoints, onBench]].map(([points, material]) => {
      const geometry = shape(points, panel.faces);
      geometry.setAttribute("strains", new BufferAttribute(strains, 3));
      geometry.boundsTree = new MeshBVH(geometry, { indirect: true });
      return new Mesh(geometry, material);
    });
    meshes.forEach((mesh) => { mesh.panel = panel; });
    inLimb.add(meshes[0]);
    scene.add(meshes[1]);
    meshes[1].position.x = leatherLeft() + panel.shift;
    return { worn: meshes[0], flat: meshes[1] };
  });
  showColours(coloured);
}

/** Lay the flat panels where the leather begins now: a wider limb, or more room for its girths' names, moves them. */
export function shiftLeather() {
  for (const { flat } of panels) {
    const left = leatherLeft() + flat.panel.shift;
    if (flat.position.x !== left) invalidate();
    flat.position.x = left;
  }
}

function ray(px, py) {
  raycaster.setFromCamera(new Vector2((px / view.width) * 2 - 1, 1 - (py / view.height) * 2), camera);
  scene.updateMatrixWorld();
}

function hit(object, px, py) {
  ray(px, py);
  return raycaster.intersectObject(object, false)[0] ?? null;
}

/** Shares of a face's corners at a place (in the mesh's own coordinates). */
function barycentric(mesh, hit) {
  const { position } = mesh.geometry.attributes;
  const corners = [hit.face.a, hit.face.b, hit.face.c];
  const [a, b, c] = corners.map((i) => new Vector3().fromBufferAttribute(position, i));
  const p = mesh.worldToLocal(hit.point.clone());
  const [u, v, w] = [b.clone().sub(a), c.clone().sub(a), p.sub(a)];
  const [uu, uv, vv, wu, wv] = [u.dot(u), u.dot(v), v.dot(v), w.dot(u), w.dot(v)];
  const whole = uu * vv - uv * uv;
  const s = (vv * wu - uv * wv) / whole;
  const t = (uu * wv - uv * wu) / whole;
  return { corners, parts: [1 - s - t, s, t] };
}

function interpolated(array, width, { corners, parts }) {
  const mean = (k) => corners.reduce((sum, i, n) => sum + parts[n] * array[width * i + k], 0);
  return Array.from({ length: width }, (_, k) => mean(k));
}

/** The place of leather under a pixel, wherever it shows: on the limb or flat. */
export function leatherAt(px, py) {
  for (const { worn: on, flat } of panels) {
    for (const mesh of [flat, on]) {
      if (!mesh.visible || (mesh === on && !limb.visible)) continue;
      const found = hit(mesh, px, py);
      if (!found) continue;
      return placeOf(mesh.panel, found.faceIndex, barycentric(mesh, found));
    }
  }
  return null;
}

/** A place of leather, on the limb and flat, and its figures. */
function placeOf(panel, face, here) {
  return {
    worn: interpolated(panel.worn, 3, here),
    flat: interpolated(panel.flat, 2, here).map((value, k) => value + (k ? 0 : leatherLeft() + panel.shift)),
    chart: interpolated(panel.chart, 2, here),
    along: panel.along[face],
    across: panel.across[face],
    beyond: interpolated(panel.over, 1, here)[0] > 0,
  };
}

const cornersOf = (panel, face) => Array.from(panel.faces.subarray(3 * face, 3 * face + 3));

/** The place where the leather must stretch most, or nothing. */
export function mostStretched() {
  const first = panels[0]?.flat.panel;
  if (!first) return null;
  const most = panels.map(({ flat }) => flat.panel).reduce((a, b) => (stretchAt(b) > stretchAt(a) ? b : a), first);
  const middle = { corners: cornersOf(most, most.most_stretched), parts: [1 / 3, 1 / 3, 1 / 3] };
  return placeOf(most, most.most_stretched, middle);
}

function stretchAt(panel) {
  return Math.max(panel.along[panel.most_stretched], panel.across[panel.most_stretched]);
}

/** The place of leather at a height and a bearing (radians, whole turns no matter), or nothing. */
export function leatherOn(height, bearing) {
  for (const { flat: { panel } } of panels) {
    for (let face = 0; 3 * face < panel.faces.length; face++) {
      const corners = cornersOf(panel, face);
      const [[ha, ba], [hb, bb], [hc, bc]] = corners.map((i) => [panel.chart[2 * i], panel.chart[2 * i + 1]]);
      if (Math.min(ha, hb, hc) > height || Math.max(ha, hb, hc) < height) continue;
      const turned = bearing + 2 * Math.PI * Math.round((ba - bearing) / (2 * Math.PI));
      const whole = (hb - ha) * (bc - ba) - (bb - ba) * (hc - ha);
      const s = ((height - ha) * (bc - ba) - (turned - ba) * (hc - ha)) / whole;
      const t = ((hb - ha) * (turned - ba) - (bb - ba) * (height - ha)) / whole;
      if (s >= 0 && t >= 0 && s + t <= 1) return placeOf(panel, face, { corners, parts: [1 - s - t, s, t] });
    }
  }
  return null;
}

/** Bearing (degrees) and height (mm) of the worn surface under a pixel, and the place itself. */
export function chartAt(px, py) {
  if (!worn || !limb.visible) return null;
  const found = hit(worn, px, py);
  if (!found) return null;
  const [height, bearing] = interpolated(worn.chart, 2, barycentric(worn, found));
  return { height, bearing: (bearing * 180) / Math.PI, at: worn.worldToLocal(found.point.clone()).toArray() };
}

/** A place of the scan under a pixel, in the scan's own axes and mm. */
export function scanAt(px, py) {
  if (!scan) return null;
  if (!scan.isMesh) {
    ray(px, py);
    raycaster.params.Points.threshold = 4;
    const near = raycaster.intersectObject(scan, false).sort((a, b) => a.distanceToRay - b.distanceToRay)[0];
    return near ? scan.worldToLocal(near.point.clone()).toArray() : null;
  }
  scan.geometry.boundsTree ??= new MeshBVH(scan.geometry, { indirect: true });
  const found = hit(scan, px, py);
  return found ? scan.worldToLocal(found.point.clone()).toArray() : null;
}

/** Whether a pixel lies right of where the leather begins. */
export function overLeather(px, py) {
  return layout.leather !== null && view.show !== "limb" && toWorld(px, py)[0] > leatherLeft() - 20;
}
