// Lists that are narrowed or turned are fetched without loading the page anew (htmx). Without this script each form and
// link does the same by a whole page.

const heard = document.getElementById("heard");

document.addEventListener("htmx:afterSettle", () => {
  const content = document.getElementById("content");
  // What was pressed is still there, or the reading begins at the top of what is new.
  if (document.activeElement === document.body) content.focus();
  heard.textContent = outcome(content) ?? "";
});

// What follows the form: how many there are, or that nothing fits and what would do.
function outcome(content) {
  let next = content.querySelector("form[hx-boost]");
  while ((next = next?.nextElementSibling)) {
    const told = next.matches("p:not(.actions)") ? next : next.querySelector("caption");
    if (told) return told.textContent.trim();
  }
}

// An answer that can't be shown in place is asked for again as a page: it says itself what is wrong.
for (const failure of ["htmx:responseError", "htmx:sendError", "htmx:timeout"]) {
  document.addEventListener(failure, (event) => location.assign(event.detail.pathInfo.finalRequestPath));
}
