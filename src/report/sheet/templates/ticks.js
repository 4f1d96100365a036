
// Keeps ticks in this browser, for this week of this kitchen. Without it the page is whole.
(() => {
  const { kitchen, week } = document.querySelector("main").dataset;
  const boxes = [...document.querySelectorAll("main input")];
  try {
    const kept = JSON.parse(localStorage.getItem(kitchen) ?? "null");
    const on = kept?.week === week && Array.isArray(kept.on) ? kept.on : [];
    boxes.forEach((box, at) => { box.checked = on.includes(at); });
    document.addEventListener("change", () => {
      const ticked = boxes.flatMap((box, at) => (box.checked ? [at] : []));
      localStorage.setItem(kitchen, JSON.stringify({ week, on: ticked }));
    });
  } catch {
    // A browser that keeps nothing: ticks last as long as the page is open.
  }
})();
