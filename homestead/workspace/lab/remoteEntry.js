// What JupyterLab does for a family: a notebook runs when it is opened, and Esc restores a field.
// Loaded as a prebuilt extension, without a build step: JupyterLab asks its container for a module
// by name and gets a list of plugins.
const OURS = /^notebooks\/0\d_\w+\.ipynb$/;
const CODE = "homestead-lab:code";
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

const plugin = {
  id: "homestead-lab:plugin",
  autoStart: true,
  activate: (app) => {
    const begun = new WeakSet();
    restoreOnEscape();
    offerTheCode(app);
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
