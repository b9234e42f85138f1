// The thinned scan as its page has it: points, triangles and where each point lies when flat. A place on it is a triangle
// with three shares; between two places a line runs straight in the flat picture, as the server will cut it.
(() => {
  const minus = (p, q) => [p[0] - q[0], p[1] - q[1], p[2] - q[2]];
  const dot = (p, q) => p[0] * q[0] + p[1] * q[1] + p[2] * q[2];
  const between = (p, q, share) => p.map((each, k) => each + share * (q[k] - each));

  class ScanMesh {
    // As `light_mesh.packed` writes it.
    constructor(buffer) {
      const long = new DataView(buffer).getUint32(0, true);
      const head = JSON.parse(new TextDecoder().decode(new Uint8Array(buffer, 4, long)));
      const at = 4 + long, n = head.points;
      this.centre = head.centre;
      this.view = head.view;
      this.points = new Float32Array(buffer, at, 3 * n);
      this.flat = head.flat ? new Float32Array(buffer, at + 12 * n, 2 * n) : null;
      this.faces = new Uint16Array(buffer, at + (head.flat ? 20 : 12) * n, 3 * head.faces);
      this.findNeighbours();
      this.findNormals();
    }

    // beside[3 f + k]: the triangle across the side from corner k to the next; -1 at the rim.
    findNeighbours() {
      const { faces } = this;
      const n = this.points.length / 3, open = new Map();
      this.beside = new Int32Array(faces.length).fill(-1);
      for (let side = 0; side < faces.length; side++) {
        const from = faces[side], to = faces[side % 3 === 2 ? side - 2 : side + 1];
        const back = open.get(to * n + from);
        if (back === undefined) open.set(from * n + to, side);
        else {
          this.beside[side] = Math.floor(back / 3);
          this.beside[back] = Math.floor(side / 3);
        }
      }
      this.rim = [...this.beside.keys()].filter((side) => this.beside[side] < 0);
    }

    findNormals() {
      const { points, faces } = this;
      this.normals = new Float32Array(points.length);
      for (let f = 0; f < faces.length; f += 3) {
        const [a, b, c] = [0, 1, 2].map((k) => this.point(faces[f + k]));
        const u = minus(b, a), v = minus(c, a);
        const across = [u[1] * v[2] - u[2] * v[1], u[2] * v[0] - u[0] * v[2], u[0] * v[1] - u[1] * v[0]];
        for (let k = 0; k < 3; k++) for (let axis = 0; axis < 3; axis++) this.normals[3 * faces[f + k] + axis] += across[axis];
      }
      for (let at = 0; at < points.length; at += 3) {
        const long = Math.hypot(this.normals[at], this.normals[at + 1], this.normals[at + 2]) || 1;
        for (let axis = 0; axis < 3; axis++) this.normals[at + axis] /= long;
      }
    }

    point(number) { return [...this.points.subarray(3 * number, 3 * number + 3)]; }

    corners(face) { return [0, 1, 2].map((k) => this.faces[3 * face + k]); }

    ends(side) { return [this.faces[side], this.faces[side % 3 === 2 ? side - 2 : side + 1]].map((each) => this.point(each)); }

    // Where a place lies in space, and where when flat.
    at({ face, shares }) {
      return this.corners(face).map((each) => this.point(each)).reduce((sum, each, k) => sum.map((have, axis) => have + shares[k] * each[axis]), [0, 0, 0]);
    }

    flatAt({ face, shares }) {
      return this.corners(face).reduce(([x, y], each, k) => [x + shares[k] * this.flat[2 * each], y + shares[k] * this.flat[2 * each + 1]], [0, 0]);
    }

    // The place nearest to a point in space.
    place(point) {
      let best = null, least = Infinity;
      for (let face = 0; face < this.faces.length / 3; face++) {
        const [a, b, c] = this.corners(face).map((each) => this.point(each));
        const shares = nearestShares(point, a, b, c);
        const off = minus(point, a.map((each, k) => shares[0] * each + shares[1] * b[k] + shares[2] * c[k]));
        const away = dot(off, off);
        if (away < least) [best, least] = [{ face, shares }, away];
      }
      return best;
    }

    // Points in space from one place to another, without the first; where the line would leave the panel, straight on.
    way(from, to) {
      const goal = this.at(to), found = [];
      if (!this.flat) return [goal];
      const [x, y] = this.flatAt(from), [u, v] = this.flatAt(to);
      const off = (number) => (u - x) * (this.flat[2 * number + 1] - y) - (v - y) * (this.flat[2 * number] - x);
      let face = from.face;
      for (let steps = 0; face !== to.face && steps < this.faces.length; steps++) {
        const side = [0, 1, 2].map((k) => 3 * face + k).find((each) => {
          const next = each % 3 === 2 ? each - 2 : each + 1;
          return off(this.faces[each]) < 0 && off(this.faces[next]) >= 0;
        });
        if (side === undefined || this.beside[side] < 0) break;
        const [right, left] = [this.faces[side], this.faces[side % 3 === 2 ? side - 2 : side + 1]].map(off);
        found.push(between(...this.ends(side), right / (right - left)));
        face = this.beside[side];
      }
      return [...found, goal];
    }
  }

  // The shares of the point of a triangle that is nearest to a point (Ericson, Real-Time Collision Detection, 5.1.5).
  function nearestShares(p, a, b, c) {
    const ab = minus(b, a), ac = minus(c, a), ap = minus(p, a), bp = minus(p, b), cp = minus(p, c);
    const d1 = dot(ab, ap), d2 = dot(ac, ap), d3 = dot(ab, bp), d4 = dot(ac, bp), d5 = dot(ab, cp), d6 = dot(ac, cp);
    if (d1 <= 0 && d2 <= 0) return [1, 0, 0];
    if (d3 >= 0 && d4 <= d3) return [0, 1, 0];
    if (d6 >= 0 && d5 <= d6) return [0, 0, 1];
    const va = d3 * d6 - d5 * d4, vb = d5 * d2 - d1 * d6, vc = d1 * d4 - d3 * d2;
    if (vc <= 0 && d1 >= 0 && d3 <= 0) return [1 - d1 / (d1 - d3), d1 / (d1 - d3), 0];
    if (vb <= 0 && d2 >= 0 && d6 <= 0) return [1 - d2 / (d2 - d6), 0, d2 / (d2 - d6)];
    if (va <= 0 && d4 >= d3 && d5 >= d6) {
      const share = (d4 - d3) / (d4 - d3 + d5 - d6);
      return [0, 1 - share, share];
    }
    return [va, vb, vc].map((each) => each / (va + vb + vc));
  }

  window.trimwrightScanMesh = { ScanMesh, between };
})();
