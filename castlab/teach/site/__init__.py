"""The course as a site that needs nothing installed: JupyterLab and Python run in the reader's browser."""
