// Keys in a widget are the widget's: without this, an "x" on a focused answer cuts the whole cell out.
// The attribute is the one by which JupyterLab's shortcuts know what to leave alone.

function keepKeys(event) {
  const widget = event.target.closest?.(".jupyter-widgets");
  if (widget) widget.setAttribute("data-lm-suppress-shortcuts", "true");
}

function render() {
  document.addEventListener("focusin", keepKeys);
  return () => document.removeEventListener("focusin", keepKeys);
}

export default {render};
