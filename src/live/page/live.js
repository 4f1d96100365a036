// What the page does beside plain forms: nothing here decides anything about a week.
"use strict";

document.documentElement.classList.add("js");
const by = (id) => document.getElementById(id);
const body = document.body;
let version = Number(body.dataset.version);
let spoken = by("said") ? by("said").textContent : "";
let timer = 0;

// Every request says what it has seen, and gets the parts that differ since.
body.addEventListener("htmx:configRequest", (event) => {
  event.detail.headers["X-Seen"] = String(version);
});

// A late answer never overwrites a newer one, and what a form's answer brought is not put there again
// by the answer to the question for news that was waiting meanwhile.
body.addEventListener("htmx:beforeSwap", (event) => {
  const given = Number(event.detail.xhr.getResponseHeader("X-Version"));
  if (given && given <= version) {
    event.detail.shouldSwap = false;
    return;
  }
  if (given) version = given;
});

// The polite region speaks half a second after all is settled, and only what is new.
function speak() {
  clearTimeout(timer);
  timer = setTimeout(() => {
    const said = by("said");
    const top = by("top");
    if (!said || top.classList.contains("proving")) return;
    const text = said.textContent;
    if (text === spoken) return;
    spoken = text;
    by("speak").textContent = text;
  }, 500);
}

function find() {
  const wanted = by("find").value.toLowerCase();
  for (const row of document.querySelectorAll("#foods .food")) {
    row.hidden = !row.querySelector("legend bdi").textContent.toLowerCase().includes(wanted);
  }
}

body.addEventListener("htmx:afterSettle", () => {
  find();
  drag();
  speak();
});
by("find").addEventListener("input", find);
by("find").form.addEventListener("submit", (event) => event.preventDefault());

// The server is gone, or another one has its place.
function gone(why) {
  const top = by("top");
  if (top.dataset.gone) return;
  top.dataset.gone = "yes";
  top.className = "top stale";
  top.querySelector(".shape").textContent = "▲";
  top.querySelector("b").textContent = "Stale";
  top.querySelector(".detail").textContent = why;
  by("said").textContent = "Stale. " + why;
  speak();
}
for (const what of ["htmx:sendError", "htmx:timeout"]) {
  body.addEventListener(what, () => gone("the server is gone: start scant live again and open the address it prints"));
}
body.addEventListener("htmx:responseError", (event) => {
  if (event.detail.xhr.status === 403) {
    gone("this page is of an earlier start: open the address that scant live printed last");
  }
});
body.addEventListener("htmx:afterRequest", (event) => {
  if (event.detail.successful && by("top").dataset.gone) location.reload();
});

document.addEventListener("click", (event) => {
  if (event.target.id !== "copy") return;
  navigator.clipboard.writeText(by("line").textContent).then(
    () => { by("speak").textContent = "The command is copied."; },
    () => { getSelection().selectAllChildren(by("line")); },
  );
});

// Dragging a lunch to another day is an extra: the menu does the same.
function drag() {
  for (const day of document.querySelectorAll(".days > li")) {
    day.draggable = true;
    day.ondragstart = (event) => event.dataTransfer.setData("text/plain", day.dataset.name);
    day.ondragover = (event) => event.preventDefault();
    day.ondrop = (event) => {
      event.preventDefault();
      const name = event.dataTransfer.getData("text/plain");
      htmx.ajax("POST", "/lunch", { swap: "none", values: { name, day: day.dataset.day, do: "move" } });
    };
  }
}
drag();
