// The shaders of the turnable view. When the cutter gets to a place is known at every corner of the nets; between corners
// it is interpolated, so a fragment only compares.

export const VERTEX = /* glsl */ `
uniform vec3 uCentre;
uniform float uTurn;     // about the ring's axis
in vec4 aWhen;           // infeed at which each of four spaces' cuts gets here
in vec4 aDeep;           // how far inside each of their sheets; below nought: never
in float aIn;            // a cut face: how far inside the ring
out vec4 vWhen;
out vec4 vDeep;
out float vIn;
out vec3 vSeen;
void main() {
  float c = cos(uTurn), s = sin(uTurn);
  vec2 p = vec2(c * position.x - s * position.y, s * position.x + c * position.y) - uCentre.xy;
  vec4 seen = modelViewMatrix * vec4(p.y, p.x, -(position.z - uCentre.z), 1.0);
  vWhen = aWhen;
  vDeep = aDeep;
  vIn = aIn;
  vSeen = seen.xyz;
  gl_Position = projectionMatrix * seen;
}`;

export const FRAGMENT = /* glsl */ `
precision highp float;
uniform float uGone;     // the infeed shown
uniform vec4 uOn;        // which of the four spaces are cut
uniform float uOwn;      // 1: a cut face; 0: a surface of the tooth
uniform float uLine;     // 1: an edge
uniform float uFaint;    // 1: show faintly what went
uniform vec3 uPaper, uInk;
in vec4 vWhen;
in vec4 vDeep;
in float vIn;
in vec3 vSeen;
out vec4 oColour;
void main() {
  vec4 cut = uOn * step(0.0, vDeep) * step(vWhen, vec4(uGone - 2e-3));
  bool gone = dot(cut, vec4(1.0)) > 0.5;
  if (uOwn > 0.5 && (gone || vIn < 0.0)) discard;
  if (gone && (uFaint < 0.5 || mod(floor(gl_FragCoord.x) + 2.0 * floor(gl_FragCoord.y), 5.0) > 0.5)) discard;
  if (uLine > 0.5) { oColour = vec4(uInk, 1.0); return; }
  vec3 normal = normalize(cross(dFdx(vSeen), dFdy(vSeen)));
  float light = 0.30 + 0.70 * abs(dot(normal, normalize(vec3(0.35, 0.55, 0.8))));
  vec3 metal = mix(uInk, uPaper, 0.22 + 0.62 * light);
  if (uOwn > 0.5) {
    float hatch = mod(gl_FragCoord.x + gl_FragCoord.y, 9.0);
    metal = mix(uInk, uPaper, hatch < 1.6 ? 0.12 : 0.45 + 0.55 * light);
  }
  oColour = vec4(gone ? uInk : metal, 1.0);
}`;

/** The cutter in place: a wash that can be seen through, its edge a little stronger. */
export const CUTTER_VERTEX = /* glsl */ `
out vec3 vAt;
void main() {
  vec4 seen = modelViewMatrix * vec4(position, 1.0);
  vAt = seen.xyz;
  gl_Position = projectionMatrix * seen;
}`;

export const CUTTER_FRAGMENT = /* glsl */ `
precision highp float;
uniform vec3 uWash;
in vec3 vAt;
out vec4 oColour;
void main() {
  vec3 normal = normalize(cross(dFdx(vAt), dFdy(vAt)));
  oColour = vec4(uWash, mix(0.34, 0.18, abs(normal.z)));
}`;
