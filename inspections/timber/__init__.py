"""Wood as figures: moisture and drying, movement, coats, fastenings, and the climate that it stands in."""
