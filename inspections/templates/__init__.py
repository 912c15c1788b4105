"""What a template says: what to open up, what to ask."""
