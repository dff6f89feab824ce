// Keys in a widget are the widget's: without this, an "x" on a focused answer cuts the whole cell out.
// JupyterLab's shortcuts leave alone what bears this attribute; they ask the focused element first. With Ctrl,
// Alt or the command key they stay: whoever saves may stand on a slider.

const MARK = "data-lm-suppress-shortcuts";

function keepKeys(event) {
  if (!event.target.closest?.(".jupyter-widgets")) return;
  if (event.ctrlKey || event.altKey || event.metaKey) event.target.removeAttribute(MARK);
  else event.target.setAttribute(MARK, "true");
}

function render() {
  window.addEventListener("keydown", keepKeys, true);  // before JupyterLab, which listens on the document
  return () => window.removeEventListener("keydown", keepKeys, true);
}

export default {render};
