"""JupyterLab in a real browser: start it, open a notebook, run it, move its sliders, read what a person sees.

Nothing of the user's is touched: home, settings and notebooks are copies in a temporary folder.
"""

import json
import os
import re
import secrets
import shutil
import socket
import subprocess
import sys
import time
import urllib.error
import urllib.request
from contextlib import contextmanager
from pathlib import Path

import nbformat

CHROMIUM_FLAGS = [
    "--no-sandbox", "--disable-gpu", "--disable-quic", "--no-first-run",
    "--disable-background-networking", "--disable-component-update", "--disable-sync",
]
# JupyterLab asks for news on its first start; the question would lie over the notebook.
NO_NEWS = {"fetchNews": "false", "checkForUpdates": False}
START_SECONDS = 90
STOP_SECONDS = 20
RUN_SECONDS = 120
LOOK_SECONDS = 90


def chromium_path():
    """Where the browser is, or None."""
    return shutil.which("chromium") or shutil.which("chromium-browser")


def free_port():
    with socket.socket() as probe:
        probe.bind(("127.0.0.1", 0))
        return probe.getsockname()[1]


class Server:
    """A running JupyterLab: its address, its token and the folder that it shows."""

    def __init__(self, folder, port, token):
        self.folder, self.port, self.token = folder, port, token

    def address(self, path):
        return f"http://127.0.0.1:{self.port}/{path}?token={self.token}"

    def answers(self):
        try:
            with urllib.request.urlopen(self.address("api/status"), timeout=5) as reply:
                return reply.status == 200
        except (urllib.error.URLError, OSError):
            return False

    def add(self, notebook):
        """Copy a notebook beside the others and return its name."""
        shutil.copy(notebook, self.folder)
        return Path(notebook).name


@contextmanager
def running_lab(temporary):
    """JupyterLab over an empty folder `notebooks` below `temporary`, stopped at the end with its kernels."""
    folder, home = Path(temporary) / "notebooks", Path(temporary) / "home"
    folder.mkdir()
    write_settings(home)
    server = Server(folder, free_port(), secrets.token_hex(16))
    log_path = Path(temporary) / "lab.log"
    with open(log_path, "wb") as log:
        streams = {"stdin": subprocess.DEVNULL, "stdout": log, "stderr": subprocess.STDOUT}
        process = subprocess.Popen(command(server), env=environment(home), cwd=folder, **streams)
        try:
            wait_for_start(server, process, log_path)
            yield server
        finally:
            stop(process)


def command(server):
    words = [sys.executable, "-m", "jupyterlab", "--no-browser", "--expose-app-in-browser", "--ip=127.0.0.1",
             f"--ServerApp.port={server.port}", "--ServerApp.port_retries=0",
             f"--IdentityProvider.token={server.token}", f"--ServerApp.root_dir={server.folder}"]
    as_root = hasattr(os, "geteuid") and os.geteuid() == 0
    return words + (["--allow-root"] if as_root else [])


def environment(home):
    """The present environment with every folder that Jupyter writes to below `home`."""
    below = {"HOME": "", "JUPYTER_CONFIG_DIR": "config", "JUPYTER_DATA_DIR": "data",
             "JUPYTER_RUNTIME_DIR": "runtime", "IPYTHONDIR": "ipython", "MPLCONFIGDIR": "matplotlib",
             "JUPYTERLAB_SETTINGS_DIR": "settings", "JUPYTERLAB_WORKSPACES_DIR": "workspaces"}
    return os.environ | {name: str(home / part) for name, part in below.items()}


def write_settings(home):
    folder = home / "settings" / "@jupyterlab" / "apputils-extension"
    folder.mkdir(parents=True)
    (folder / "notification.jupyterlab-settings").write_text(json.dumps(NO_NEWS))


def wait_for_start(server, process, log_path):
    deadline = time.monotonic() + START_SECONDS
    while time.monotonic() < deadline and process.poll() is None:
        if server.answers():
            return
        time.sleep(0.2)
    raise RuntimeError(f"JupyterLab did not start:\n{log_path.read_text(errors='replace')[-3000:]}")


def stop(process):
    """Ask it to end, so that it ends its kernels; insist after a while."""
    process.terminate()
    try:
        process.wait(STOP_SECONDS)
    except subprocess.TimeoutExpired:
        process.kill()
        process.wait()


@contextmanager
def running_browser():
    """A browser's context: one for all pages, so that JupyterLab's own program is loaded once."""
    from playwright.sync_api import sync_playwright

    with sync_playwright() as playwright:
        browser = playwright.chromium.launch(executable_path=chromium_path(), args=CHROMIUM_FLAGS)
        try:
            yield browser.new_context()
        finally:
            browser.close()


def notebook_of(cells, path):
    """Write a notebook of these code cells; returns the path."""
    code = [nbformat.v4.new_code_cell(source) for source in cells]
    kernel = {"name": "python3", "display_name": "Python 3", "language": "python"}
    nbformat.write(nbformat.v4.new_notebook(cells=code, metadata={"kernelspec": kernel}), path)
    return path


class Notebook:
    """One notebook open in one page of the browser."""

    def __init__(self, browser, server, name, width=1300, height=1000):
        self.page = browser.new_page()
        self.page.set_viewport_size({"width": width, "height": height})
        self.page.set_default_timeout(1000 * LOOK_SECONDS)
        # A workspace of its own: else JupyterLab opens again what other tests had open.
        self.page.goto(server.address(f"lab/workspaces/{time.monotonic_ns()}/tree/{name}"))
        # The idle light comes on too early: wait for the session and for the kernel's own answer.
        self.wait_until(READY, name)

    def wait_until(self, question, argument=None):
        """Ask the page until it says yes. Unlike Playwright's own wait, this awaits promises."""
        deadline = time.monotonic() + RUN_SECONDS
        while not self.page.evaluate(question, argument):
            if time.monotonic() > deadline:
                raise AssertionError(f"not true within {RUN_SECONDS} s: {question}")
            self.page.wait_for_timeout(100)

    def close(self):
        """End the kernel as well, or the next notebook shares the machine with it."""
        self.page.evaluate("async () => { await castlabPanel.sessionContext.shutdown(); }")
        self.page.close()

    def run_all(self):
        """Run every cell, wait for the end, and raise what any cell raised."""
        self.page.evaluate(RUN_ALL)
        self.wait_until("() => window.castlabRunEnded")
        errors = self.page.evaluate(CELL_ERRORS)
        if errors:
            raise AssertionError("a cell failed: " + "; ".join(errors))

    def press(self, label, number=0):
        """Press the button whose text contains `label`, upper or lower case: the first one, or another."""
        words = re.compile(re.escape(label), re.IGNORECASE)
        self.page.locator(".jp-Notebook").get_by_role("button", name=words).nth(number).click()

    def choose(self, number, question=0):
        """Choose an answer of a question, both counted from 0; return the answer's words."""
        answers = self.page.locator(".widget-radio-box").nth(question).locator("label")
        answers.nth(number).click()
        return answers.nth(number).text_content().strip()

    def words(self):
        """All that the notebook says in its live regions, one below the other, on the screen or off it."""
        return "\n".join(self._texts("[role=status]"))

    def alerts(self):
        return self._texts("[role=alert]")

    def _texts(self, selector):
        texts = self.page.locator(f".jp-Notebook {selector}").all_text_contents()
        return [text.strip() for text in texts if text.strip()]

    def bench(self, number=0):
        """A bench of the notebook, counted from 0: an output with a picture and sliders."""
        outputs = self.page.locator(".jp-OutputArea-output")
        return Bench(self, outputs.filter(has=self.page.locator("img.widget-image")).nth(number))

    def wait_for(self, read, wanted):
        """Read again and again until `wanted(answer)` is true; return that answer."""
        deadline = time.monotonic() + LOOK_SECONDS
        while not wanted(now := read()):
            if time.monotonic() > deadline:
                said = f"not seen within {LOOK_SECONDS} s; there is {now!r}; alerts {self.alerts()}"
                raise AssertionError(said)
            self.page.wait_for_timeout(50)
        return now

    def wait_for_change(self, read, before):
        """Read again and again until the answer differs from `before`; return the new one."""
        return self.wait_for(read, lambda now: now != before)

    def bar_percent(self):
        """How far the first progress bar is, in per cent of its length."""
        width = self.page.locator(".jp-Notebook .progress-bar").first.evaluate("bar => bar.style.width")
        return float(width.removesuffix("%") or 0.0)

    def screenshot(self, name, element):
        """Save the screen, with the element in view, when the variable CASTLAB_SHOTS names a folder."""
        folder = os.environ.get("CASTLAB_SHOTS")
        if folder:
            element.scroll_into_view_if_needed()
            Path(folder).mkdir(parents=True, exist_ok=True)
            self.page.screenshot(path=str(Path(folder) / f"{name}.png"))


class Bench:
    """Sliders, a picture and a sentence in one output of a notebook."""

    def __init__(self, notebook, output):
        self.notebook, self.output = notebook, output

    def slider(self, label):
        """The handle of the slider whose label begins with `label`; it takes arrow keys when focused."""
        begins = re.compile("^" + re.escape(label), re.IGNORECASE)
        words = self.notebook.page.locator(".widget-label", has_text=begins)
        return self.output.locator(".widget-slider").filter(has=words).locator(".noUi-handle").first

    def keys(self, label, *keys):
        """Press keys on a slider, one after the other without waiting."""
        self.slider(label).focus()
        for key in keys:
            self.notebook.page.keyboard.press(key)

    def picture(self):
        return self.output.locator("img.widget-image").first

    def picture_hash(self):
        """A hash of the picture's bytes: equal bytes, equal picture."""
        return self.picture().evaluate(PICTURE_HASH)

    def sentence(self):
        """What the bench says, as a screen reader reads it."""
        return self.output.locator("[role=status][aria-live]").first.text_content().strip()

    def state(self):
        return self.picture_hash(), self.sentence()

    def when_changed(self, before):
        """Wait until both picture and sentence differ from `before` and have come to rest; return them."""
        self.notebook.wait_for(self.state, lambda now: now[0] != before[0] and now[1] != before[1])
        return self.at_rest()

    def at_rest(self, still_seconds=2.0):
        """Wait until picture and sentence stay the same, so that the full answer has come; return them."""
        seen, since = None, time.monotonic()
        while time.monotonic() - since < still_seconds:
            now = self.state()
            if now != seen:
                seen, since = now, time.monotonic()
            self.notebook.page.wait_for_timeout(100)
        return seen

    def key_to_picture_ms(self, label, keys):
        """Press the keys on a slider, each as soon as the picture of the last is drawn; the delays [ms]."""
        self.slider(label).focus()
        self.picture().evaluate(START_STOPWATCH)
        for count, key in enumerate(keys, start=1):
            self.notebook.page.keyboard.press(key)
            self.notebook.page.evaluate(WAIT_FOR_PICTURE, [count, 1000 * LOOK_SECONDS])
        return self.notebook.page.evaluate("() => window.castlabDelays")

    def screenshot(self, name):
        self.notebook.screenshot(name, self.picture())


# What the page is asked, in its own language.
# The panel is found by its file: which widget is "current" changes while JupyterLab arranges itself.
READY = """async name => {
    const widgets = window.jupyterapp ? Array.from(jupyterapp.shell.widgets('main')) : [];
    const panel = widgets.find(widget => widget.context?.path === name);
    const context = panel?.sessionContext;
    if (!panel?.context.isReady || !context?.isReady || !context.session?.kernel) return false;
    await context.session.kernel.info;
    jupyterapp.shell.activateById(panel.id);
    window.castlabPanel = panel;
    return true;
}"""
RUN_ALL = """() => {
    window.castlabRunEnded = false;
    jupyterapp.commands.execute('notebook:run-all-cells').finally(() => { window.castlabRunEnded = true; });
}"""
CELL_ERRORS = """() => castlabPanel.content.widgets
    .filter(cell => cell.model.type === 'code')
    .flatMap(cell => cell.model.outputs.toJSON())
    .filter(output => output.output_type === 'error')
    .map(output => output.ename + ': ' + output.evalue)"""
PICTURE_HASH = """async picture => {
    const bytes = await (await fetch(picture.src)).arrayBuffer();
    const digest = await crypto.subtle.digest('SHA-256', bytes);
    return Array.from(new Uint8Array(digest), byte => byte.toString(16).padStart(2, '0')).join('');
}"""
# Waits inside the page, so that asking takes no time away from drawing.
WAIT_FOR_PICTURE = """([count, limit]) => new Promise((resolve, reject) => {
    const look = () => window.castlabDelays.length >= count ? resolve() : requestAnimationFrame(look);
    setTimeout(() => reject(new Error('no new picture for move ' + count)), limit);
    look();
})"""
# From the key to the first frame after the new picture has loaded.
START_STOPWATCH = """picture => {
    window.castlabDelays = [];
    if (picture.castlabTimed) return;
    picture.castlabTimed = true;
    let pressed = null;
    document.addEventListener('keydown', () => { pressed = performance.now(); }, true);
    picture.addEventListener('load', () => requestAnimationFrame(() => {
        if (pressed !== null) window.castlabDelays.push(performance.now() - pressed);
        pressed = null;
    }));
}"""
# From a click on Stop, as the page notes it, to the words; moving the mouse there takes its own time.
WATCH_STOP = """() => {
    const notebook = document.querySelector('.jp-Notebook');
    document.addEventListener('click', () => { window.stopPressed = performance.now(); }, true);
    const look = () => {
        window.stopHeard = performance.now();
        if (!notebook.textContent.includes('Stopped after')) requestAnimationFrame(look);
    };
    look();
}"""
