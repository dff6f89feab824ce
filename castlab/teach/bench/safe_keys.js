// Keys in a widget are the widget's: without this, an "x" on a focused answer cuts the whole cell out.
// JupyterLab's shortcuts leave alone what bears this attribute; they ask the focused element first.

function keepKeys(event) {
  if (event.target.closest?.(".jupyter-widgets")) event.target.setAttribute("data-lm-suppress-shortcuts", "true");
}

function render() {
  document.addEventListener("focusin", keepKeys);
  return () => document.removeEventListener("focusin", keepKeys);
}

export default {render};
