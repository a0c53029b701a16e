// How leather is coloured, in GLSL: its strains at each vertex as bands of colour.

export const VERTEX = `
attribute vec3 strains;
varying vec3 figures;
varying vec3 place;
void main() {
  figures = strains;
  vec4 at = modelViewMatrix * vec4(position, 1.0);
  place = at.xyz;
  gl_Position = projectionMatrix * at;
}`;

// Bands as in the report: the larger of stretch and squeeze, hatched where the limits are passed,
// each line with a rim of the other lightness: one of the two is seen on the darkest band and on the lightest.
export const FRAGMENT = `
varying vec3 figures;
varying vec3 place;
uniform vec3 even;
uniform vec3 hatch;
uniform vec3 rim;
uniform vec3 stretched[STRETCHED];
uniform vec3 squeezed[SQUEEZED];
uniform float stretchSteps[STRETCHED];
uniform float squeezeSteps[SQUEEZED];
uniform float relief;
uniform float dense;
void main() {
  vec3 paint = even;
  if (figures.x >= figures.y) {
    for (int k = 0; k < STRETCHED; k++) if (figures.x >= stretchSteps[k]) paint = stretched[k];
  } else {
    for (int k = 0; k < SQUEEZED; k++) if (figures.y >= squeezeSteps[k]) paint = squeezed[k];
  }
  vec3 normal = normalize(cross(dFdx(place), dFdy(place)));
  float light = mix(1.0, 0.58 + 0.48 * abs(dot(normal, normalize(vec3(-0.35, 0.45, 1.0)))), relief);
  paint *= light;
  if (figures.z > 0.0) {
    float across = mod(gl_FragCoord.x + gl_FragCoord.y, 9.0 * dense) / dense;
    float line = smoothstep(0.0, 0.5, across) * (1.0 - smoothstep(1.3, 1.8, across));
    float beside = smoothstep(1.3, 1.8, across) * (1.0 - smoothstep(2.3, 2.8, across));
    paint = mix(mix(paint, rim, beside), hatch, line);
  }
  gl_FragColor = vec4(paint, 1.0);
}`;
