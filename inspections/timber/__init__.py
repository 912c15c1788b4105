"""Wood as figures: its moisture and drying, how it moves, what coats and fastens it, and the climate it stands in."""
