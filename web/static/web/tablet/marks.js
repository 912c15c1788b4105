// Arrows and circles on a photo. Places are fractions of the picture's width and height, sizes fractions of its longer
// side, so that a mark drawn on the screen stands at the same place in the picture.

/**
 * @typedef {{ kind: "arrow" | "circle", x: number, y: number, size: number, turn: number }} Mark
 *   x, y: the arrow's tip or the circle's middle; size: length or radius; turn: where the arrow comes from, in degrees
 *   clockwise from the right
 */

const SMALLEST = 0.03;
const LARGEST = 0.45;
const clamp = (/** @type {number} */ value, /** @type {number} */ low, /** @type {number} */ high) =>
  Math.min(high, Math.max(low, value));

/** @param {Mark["kind"]} kind @returns {Mark} one in the middle, to be moved */
export const markInTheMiddle = (kind) => ({ kind, x: 0.5, y: 0.5, size: kind === "arrow" ? 0.2 : 0.1, turn: 45 });

/** @param {Mark} mark @param {Partial<Record<"x" | "y" | "size" | "turn", number>>} by @returns {Mark} */
export const changed = (mark, by) => ({
  ...mark,
  x: clamp(mark.x + (by.x ?? 0), 0, 1),
  y: clamp(mark.y + (by.y ?? 0), 0, 1),
  size: clamp(mark.size * (by.size ?? 1), SMALLEST, LARGEST),
  turn: (mark.turn + (by.turn ?? 0) + 360) % 360,
});

/**
 * What a stroke of the finger means: a tap puts a mark of the usual size, a stroke gives its size and direction.
 * An arrow is drawn towards its tip; a circle from its middle.
 *
 * @param {Mark["kind"]} kind
 * @param {{ x: number, y: number }} from fractions
 * @param {{ x: number, y: number }} to
 * @param {number} width of the picture
 * @param {number} height
 * @returns {Mark}
 */
export function markOfStroke(kind, from, to, width, height) {
  const longer = Math.max(width, height);
  const across = ((from.x - to.x) * width) / longer;
  const down = ((from.y - to.y) * height) / longer;
  const length = Math.hypot(across, down);
  if (length < SMALLEST) return { ...markInTheMiddle(kind), x: from.x, y: from.y };
  const size = clamp(length, SMALLEST, LARGEST);
  const turn = (Math.atan2(down, across) * 180) / Math.PI;
  return kind === "arrow" ? { kind, x: to.x, y: to.y, size, turn: (turn + 360) % 360 } : { kind, x: from.x, y: from.y, size, turn: 0 };
}

/** @param {Mark} mark @param {number} width @param {number} height @returns {[number, number][]} tail, tip, both barbs, in pixels */
export function arrowPoints(mark, width, height) {
  const longer = Math.max(width, height);
  const tip = /** @type {[number, number]} */ ([mark.x * width, mark.y * height]);
  const away = (/** @type {number} */ length, /** @type {number} */ turn) => /** @type {[number, number]} */ ([
    tip[0] + Math.cos((turn * Math.PI) / 180) * length * longer,
    tip[1] + Math.sin((turn * Math.PI) / 180) * length * longer,
  ]);
  const barb = Math.min(mark.size * 0.4, 0.06);
  return [away(mark.size, mark.turn), tip, away(barb, mark.turn - 28), away(barb, mark.turn + 28)];
}

/**
 * A dark line in a white one, which is seen on varnish, on paint and in shadow alike.
 *
 * @param {CanvasRenderingContext2D} pen
 * @param {Mark[]} marks
 */
export function drawMarks(pen, marks) {
  const { width, height } = pen.canvas;
  const longer = Math.max(width, height);
  pen.lineCap = pen.lineJoin = "round";
  for (const [colour, thick] of /** @type {[string, number][]} */ ([["#fff", 0.011], ["#b3210f", 0.006]])) {
    pen.strokeStyle = colour;
    pen.lineWidth = Math.max(2, longer * thick);
    for (const mark of marks) {
      pen.beginPath();
      if (mark.kind === "circle") pen.arc(mark.x * width, mark.y * height, mark.size * longer, 0, Math.PI * 2);
      else {
        const [tail, tip, left, right] = arrowPoints(mark, width, height);
        pen.moveTo(...tail);
        pen.lineTo(...tip);
        pen.moveTo(...left);
        pen.lineTo(...tip);
        pen.lineTo(...right);
      }
      pen.stroke();
    }
  }
}
