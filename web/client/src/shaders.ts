// The shaders of the turnable view: every fragment asks the sheet of heights whether the cutter has been there.

export const VERTEX = /* glsl */ `
uniform vec3 uMove;      // what the points are moved by, (r, t, a)
uniform float uTurn;     // then turned about the ring's axis
uniform vec3 uCentre;
out vec3 vAt;            // the place in the frame
out vec3 vSeen;          // the place as the eye has it
void main() {
  vec3 p = position + uMove;
  float c = cos(uTurn), s = sin(uTurn);
  vAt = vec3(c * p.x - s * p.y, s * p.x + c * p.y, p.z);
  vec3 q = vAt - uCentre;
  vec4 seen = modelViewMatrix * vec4(q.y, q.x, -q.z, 1.0);
  vSeen = seen.xyz;
  gl_Position = projectionMatrix * seen;
}`;

export const FRAGMENT = /* glsl */ `
precision highp float;
uniform sampler2D uHeights;  // one row of heights a row
uniform sampler2D uRows;     // (place across, low, high)
uniform sampler2D uHalf;     // half the tooth's angle over the radius
uniform vec3 uAt, uAcross, uAlong, uInfeed;
uniform vec2 uSpan;          // first and last row
uniform float uGone;         // infeed
uniform float uPitch, uTwist, uFace, uRoot, uTip, uRim;
uniform float uEvery;        // 1: every space is cut
uniform float uOwn;          // 1: a cut face; 0: a surface of the tooth
uniform float uTurnOf;       // of the space whose cut face this is
uniform float uFaint;        // 1: show faintly what went
uniform vec3 uPaper, uInk;
uniform float uLine;         // 1: an edge
in vec3 vAt;
in vec3 vSeen;
out vec4 oColour;

const float PI = 3.14159265358979;

float reached(vec3 p, float turn) {
  float c = cos(turn), s = sin(turn);
  vec3 q = vec3(c * p.x + s * p.y, c * p.y - s * p.x, p.z) - uAt;
  float x = dot(q, uAcross), y = dot(q, uAlong), z = dot(q, uInfeed);
  ivec2 size = textureSize(uHeights, 0);
  float share = (x - uSpan.x) / (uSpan.y - uSpan.x);
  if (share < 0.0 || share > 1.0) return 1e9;
  float row = acos(clamp(1.0 - 2.0 * share, -1.0, 1.0)) / PI * float(size.y - 1);
  int i = clamp(int(row), 0, size.y - 2);
  float down = row - float(i);
  vec3 one = texelFetch(uRows, ivec2(i, 0), 0).xyz, two = texelFetch(uRows, ivec2(i + 1, 0), 0).xyz;
  vec2 ends = mix(one.yz, two.yz, down);
  float on = (y - ends.x) / max(ends.y - ends.x, 1e-9);
  if (on < 0.0 || on > 1.0) return 1e9;
  float column = acos(clamp(1.0 - 2.0 * on, -1.0, 1.0)) / PI * float(size.x - 1);
  int j = clamp(int(column), 0, size.x - 2);
  float over = column - float(j);
  float a = texelFetch(uHeights, ivec2(j, i), 0).r, b = texelFetch(uHeights, ivec2(j + 1, i), 0).r;
  float d = texelFetch(uHeights, ivec2(j, i + 1), 0).r, e = texelFetch(uHeights, ivec2(j + 1, i + 1), 0).r;
  if (max(max(a, b), max(d, e)) > 1e8) return 1e9;
  return z + mix(mix(a, b, over), mix(d, e, over), down);
}

bool insideRing(vec3 p) {
  if (p.z < -1e-4 || p.z > uFace + 1e-4) return false;
  float radius = length(p.xy);
  float sense = uTip > uRoot ? 1.0 : -1.0;
  if (sense * (radius - uRoot) <= 0.0) return sense * (radius - uRoot) > -uRim;
  if (sense * (radius - uTip) > 0.0) return false;
  float angle = atan(p.y, p.x) - uTwist * p.z;
  float off = abs(mod(angle, uPitch) - 0.5 * uPitch);
  float n = float(textureSize(uHalf, 0).x - 1);
  float at = (radius - uRoot) / (uTip - uRoot) * n;
  int i = clamp(int(at), 0, int(n) - 1);
  float half_ = mix(texelFetch(uHalf, ivec2(i, 0), 0).r, texelFetch(uHalf, ivec2(i + 1, 0), 0).r, at - float(i));
  return off <= half_;
}

void main() {
  bool gone = false;
  for (int k = -2; k <= 2; k += 1) {
    float turn = float(k) * uPitch;
    bool own = uOwn > 0.5 && abs(turn - uTurnOf) < 0.5 * uPitch;
    if ((k != 0 && uEvery < 0.5) || own) continue;
    if (reached(vAt, turn) < uGone - (uOwn > 0.5 ? 1e-3 : 1e-5)) { gone = true; break; }
  }
  if (uOwn > 0.5 && (gone || !insideRing(vAt))) discard;
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
