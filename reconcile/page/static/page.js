"use strict";
/* Makes pages nicer where a browser runs it; every page works without. */
document.documentElement.classList.add("scripted");

/* A new plan is being made: look whether it is there, and show it unless somebody is typing. */
const changed = document.querySelector("[data-wait]");
let typed = false;
document.addEventListener("input", () => { typed = true; });
async function lookAgain() {
  try {
    const answer = await fetch(changed.dataset.wait, { credentials: "same-origin" });
    if ((await answer.json()).ready) {
      if (typed) { changed.firstElementChild.textContent = "The new plan is there."; return; }
      location.reload();
      return;
    }
  } catch { return; }
  setTimeout(lookAgain, 1500);
}
if (changed) setTimeout(lookAgain, 1000);

for (const button of document.querySelectorAll("[data-print]")) button.addEventListener("click", () => print());

/* What was refused is read out and seen first. */
document.getElementById("refused")?.focus();
