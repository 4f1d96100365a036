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
// by the answer to the question for news that was waiting meanwhile. All parts of an answer take the
// place of those before at once, before anything is painted.
body.addEventListener("htmx:beforeSwap", (event) => {
  event.detail.shouldSwap = false;
  const { xhr } = event.detail;
  const given = Number(xhr.getResponseHeader("X-Version"));
  if (!given || given <= version || xhr.status >= 300) return;
  version = given;
  put(event.detail.serverResponse);
});

function put(text) {
  const given = document.createElement("template");
  given.innerHTML = text;
  const focused = document.activeElement;
  for (const part of [...given.content.children]) by(part.id)?.replaceWith(part);
  order();
  find();
  drag();
  // What has the focus keeps it.
  const now = focused && focused.id ? by(focused.id) : null;
  if (now && now !== document.activeElement) now.focus({ preventScroll: true });
  speak();
}

// Forms are sent without leaving the page: one listener for all, so that none is looked at one by one.
// An answer is told to an element of its own: the form may be another one by then.
function send(path, values) {
  const source = document.createElement("span");
  by("poll").append(source);
  const sent = htmx.ajax("POST", path, { source, swap: "none", values });
  sent.catch(() => {}).finally(() => source.remove());
}
function sendForm(form, button) {
  const values = Object.fromEntries(new FormData(form));
  if (button && button.name) values[button.name] = button.value;
  send(form.getAttribute("action"), values);
}
document.addEventListener("submit", (event) => {
  if (event.target.getAttribute("method") !== "post") return;
  event.preventDefault();
  sendForm(event.target, event.submitter);
});
document.addEventListener("change", (event) => {
  const form = event.target.form;
  if (form && "atChange" in form.dataset && form.checkValidity()) sendForm(form, null);
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
  for (const row of by("food-rows").children) {
    row.hidden = !row.querySelector("legend bdi").textContent.toLowerCase().includes(wanted);
  }
}

// Rows of foods come one by one: they are put in the order that came with them, with what leaving
// each out costs. Most stand in order already: the longest such row of them stays where it is.
function order() {
  const rows = by("food-rows");
  const wanted = by("foods-said").dataset.order.split(" ").map((id) => by("food-" + id)).filter(Boolean);
  const place = new Map([...rows.children].map((row, at) => [row, at]));
  const stay = rising(wanted.map((row) => place.get(row)));
  let at = null;
  for (const row of wanted.reverse()) {
    if (!stay.has(place.get(row))) rows.insertBefore(row, at);
    at = row;
  }
  const notes = JSON.parse(by("foods-costs").dataset.notes);
  for (const row of rows.children) {
    if (row.firstElementChild.disabled) continue;
    const note = row.querySelector(".note");
    const told = notes[row.id.slice(5)] ?? "";
    if (note.textContent !== told) note.textContent = told;
  }
}

// The numbers of a longest rising row among different numbers, in their order.
function rising(numbers) {
  const ends = [];
  const before = new Map();
  for (const one of numbers) {
    let at = ends.findIndex((end) => end > one);
    if (at < 0) at = ends.length;
    before.set(one, ends[at - 1]);
    ends[at] = one;
  }
  const all = new Set();
  for (let one = ends.at(-1); one !== undefined; one = before.get(one)) all.add(one);
  return all;
}

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
      send("/lunch", { name, day: day.dataset.day, do: "move" });
    };
  }
}
drag();
