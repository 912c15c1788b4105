// A press that has begun is let finish. A button that is put anew or moves between finger down and finger up gets no
// click: whatever the page would do by itself meanwhile waits until the finger, or the key, is lifted.

const PRESSING_KEYS = new Set(["Enter", " "]);

export class Presses {
  /**
   * @param {EventTarget} ground where presses are listened for
   * @param {() => void} lifted
   * @param {{ later?: (deed: () => void) => unknown }} [tools] later: after the click that follows a lifting
   */
  constructor(ground, lifted, { later = (deed) => setTimeout(deed) } = {}) {
    this.held = false;
    const down = (/** @type {any} */ event) => { this.held ||= !(event.button > 0); };
    const up = () => later(() => {
      if (!this.held) return;
      this.held = false;
      lifted();
    });
    const key = (/** @type {(event: any) => unknown} */ deed) => (/** @type {any} */ event) => { if (PRESSING_KEYS.has(event.key)) deed(event); };
    ground.addEventListener("pointerdown", down, true);
    for (const end of ["pointerup", "pointercancel"]) ground.addEventListener(end, up, true);
    ground.addEventListener("keydown", key(down), true);
    ground.addEventListener("keyup", key(up), true);
    // A finger that is lifted over another window, or a key while another window opens, is never told of.
    ground.addEventListener("blur", up);
  }
}

/**
 * Whether somebody is writing there, or has folded out what is to be written in: putting it anew would take it away.
 *
 * @param {Element} place
 */
export function isWritingIn(place) {
  const fields = /** @type {NodeListOf<HTMLInputElement>} */ (place.querySelectorAll("input[type=text], textarea"));
  return [...fields].some((field) => field.value !== "" || field === document.activeElement) || place.querySelector("details[open] form") !== null;
}
