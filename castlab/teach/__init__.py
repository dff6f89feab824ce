"""Everything a person sees: pictures, benches with sliders, questions and checked tasks."""

import logging

# It lists its fonts when it is first started, in a browser each time, and warns of it above the lesson.
logging.getLogger("matplotlib.font_manager").setLevel(logging.ERROR)
