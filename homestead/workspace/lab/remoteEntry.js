// What JupyterLab does for a family: a notebook runs when it is opened, Esc restores a field, and
// fields and buttons say to a screen reader what an eye sees.
// Loaded as a prebuilt extension, without a build step: JupyterLab asks its container for a module
// by name and gets a list of plugins.
const OURS = /^notebooks\/0\d_\w+\.ipynb$/;
const CODE = "homestead-lab:code";
const NARROW_PX = 900; // as in the style of the forms: half a window, or one at twice its size
const STYLE = `
.hs-ours:not(.hs-code) .jp-CodeCell:has(.jp-InputPlaceholder) .jp-Cell-inputWrapper{display:none}
.hs-ours:not(.hs-code) .jp-OutputPrompt{visibility:hidden}`;

async function runWhenOpened(app, panel, begun) {
  const context = panel.context;
  if (!context || begun.has(panel) || !OURS.test(context.path)) return;
  begun.add(panel);
  await context.ready;
  await panel.sessionContext.ready;
  await panel.revealed;
  panel.addClass("hs-ours");
  app.shell.activateById(panel.id);
  if (window.innerWidth < NARROW_PX) app.shell.collapseLeft();
  const run = app.commands.execute("notebook:run-all-cells");
  await foldTheWork(app, panel.content);
  await run;
  await foldTheWork(app, panel.content);
}

// Running all cells goes to the last one and opens the heading above it: fold it again.
async function foldTheWork(app, notebook) {
  const at = notebook.widgets.findIndex((one) => one.model.id === "work");
  if (at >= 0 && notebook.widgets[at].headingCollapsed === false) {
    notebook.activeCellIndex = at;
    await app.commands.execute("notebook:toggle-heading-collapse");
  }
  notebook.activeCellIndex = 0;
  await notebook.scrollToItem(0);
}

function offerTheCode(app) {
  const style = document.createElement("style");
  style.textContent = STYLE;
  document.head.append(style);
  app.commands.addCommand(CODE, {
    label: "Show or hide the code",
    execute: () => app.shell.currentWidget?.toggleClass("hs-code"),
  });
  app.contextMenu.addItem({ command: CODE, selector: ".hs-ours .jp-Notebook", rank: 0 });
}

function restoreOnEscape() {
  const before = new WeakMap();
  const inForm = (one) => one instanceof HTMLInputElement && one.closest(".hs-form, .hs-strip");
  document.addEventListener("focusin", (event) => {
    if (inForm(event.target)) before.set(event.target, event.target.value);
  });
  document.addEventListener("change", (event) => {
    if (inForm(event.target)) before.set(event.target, event.target.value);
  });
  document.addEventListener(
    "keydown",
    (event) => {
      const box = event.target;
      if (event.key !== "Escape" || !inForm(box) || !before.has(box)) return;
      box.value = before.get(box);
      box.dispatchEvent(new Event("input", { bubbles: true }));
      event.stopPropagation();
    },
    true,
  );
}

// A changed value makes the answer old at once; the kernel says the same a moment later, and takes
// the mark away with the new answer. Where it has nothing to do, nothing is busy: then this does.
const LOOKED_AGAIN_MS = 3000;

function markOldAtOnce() {
  document.addEventListener("change", (event) => {
    const field = event.target.closest?.(".hs-form :is(.hs-row, .hs-table, .hs-line)");
    const strip = field?.closest(".jp-Notebook")?.querySelector(".hs-strip");
    const answer = strip?.querySelector(".hs-days")?.closest(".jupyter-widgets");
    if (!answer) return;
    answer.classList.add("hs-old");
    const look = () => {
      if (strip.querySelector("[aria-busy]")) setTimeout(look, LOOKED_AGAIN_MS);
      else answer.classList.remove("hs-old");
    };
    setTimeout(look, LOOKED_AGAIN_MS);
  });
}

// Widgets set no such attributes: what opens and closes begins with an arrow, a field with a fault
// has a class, and its message stands in its row or below its line of a table.
const OPEN = { "\u25be": "true", "\u25b8": "false" };
let messages = 0;

function set(one, name, value) {
  if (value === null) one.removeAttribute(name);
  else if (one.getAttribute(name) !== value) one.setAttribute(name, value);
}

function messageOf(control) {
  const row = control.closest(".hs-row");
  if (row) return row.querySelector("[role=alert]");
  for (let one = control; one; one = one.nextElementSibling) {
    const found = one.matches(".hs-span") && one.querySelector("[role=alert]");
    if (found) return found;
  }
  return null;
}

function sayWhatIsSeen() {
  for (const one of document.querySelectorAll(".hs-form .jupyter-button")) {
    const open = OPEN[one.textContent.trim()[0]];
    if (open) set(one, "aria-expanded", open);
  }
  for (const one of document.querySelectorAll(".hs-form [aria-invalid]")) {
    if (one.closest(".hs-fault")) continue;
    set(one, "aria-invalid", null);
    set(one, "aria-describedby", null);
  }
  for (const control of document.querySelectorAll(".hs-form .hs-fault")) {
    const input = control.querySelector("input, select");
    const message = messageOf(control);
    if (!input || !message) continue;
    message.id = message.id || `hs-message-${(messages += 1)}`;
    set(input, "aria-invalid", "true");
    set(input, "aria-describedby", message.id);
  }
}

function keepSaying() {
  let waiting = false;
  new MutationObserver(() => {
    if (waiting) return;
    waiting = true;
    setTimeout(() => {
      waiting = false;
      sayWhatIsSeen();
    }, 250);
  }).observe(document.body, { childList: true, subtree: true, characterData: true });
}

const plugin = {
  id: "homestead-lab:plugin",
  autoStart: true,
  activate: (app) => {
    const begun = new WeakSet();
    restoreOnEscape();
    markOldAtOnce();
    offerTheCode(app);
    keepSaying();
    app.shell.currentChanged?.connect((_, change) => {
      if (change.newValue) runWhenOpened(app, change.newValue, begun).catch(console.warn);
    });
  },
};

globalThis._JUPYTERLAB = globalThis._JUPYTERLAB || {};
globalThis._JUPYTERLAB["homestead-lab"] = {
  init: () => {},
  get: () => Promise.resolve(() => ({ __esModule: true, default: plugin })),
};
