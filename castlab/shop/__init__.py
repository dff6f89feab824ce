"""The shop's own book: what was measured of its furnaces, crucibles, moulds and sensors, and its pours."""
