"""Where the spring stands: how far each boat is, what blocks her, and whether the yard's hours suffice. Pure."""
