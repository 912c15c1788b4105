"""What others ask the workshop. Everything is narrowed to a yard, with a number of queries that does not grow."""
