"""The owner's report: made from a quote as it was sent, rendered to a tagged PDF, brought by a mail."""
