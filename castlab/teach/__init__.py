"""Everything a person sees: pictures, benches with sliders, questions and checked tasks."""
