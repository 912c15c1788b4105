// Pressing on the plan fills the two fields below it and moves the mark; without scripts the fields are typed.
const sheet = document.getElementById("press");
const plan = sheet?.querySelector("svg");
const along = document.getElementById("id_plan_x");
const across = document.getElementById("id_plan_y");

function share(value, from, whole) {
  return Math.min(1, Math.max(0, (value - from) / whole));
}

function mark(x, y) {
  plan.querySelectorAll(".leader, .tag, .mark, .near").forEach((old) => old.remove());
  const cross = document.createElementNS(plan.namespaceURI, "path");
  cross.setAttribute("class", "mark pin");
  cross.setAttribute("stroke-width", "0.6");
  cross.setAttribute("d", `M${x - 2.5},${y}h5M${x},${y - 2.5}v5`);
  plan.append(cross);
}

if (plan && along && across) {
  const { aft, length, top, breadth } = Object.fromEntries(
    Object.entries(sheet.dataset).map(([name, value]) => [name, Number(value)]),
  );
  plan.addEventListener("click", (press) => {
    const { x, y } = new DOMPoint(press.clientX, press.clientY).matrixTransform(plan.getScreenCTM().inverse());
    const [forward, over] = [share(x, aft, length), share(y, top, breadth)];
    along.value = ((1 - forward) * 100).toFixed(1); // the bow is on the right
    across.value = (over * 100).toFixed(1);
    mark(aft + forward * length, top + over * breadth);
  });
}
