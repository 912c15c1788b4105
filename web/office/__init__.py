"""The office's pages: what the yard's managers and technicians look at on a laptop or a phone.

Each page is a view module and a template of the same name. What a page shows is gathered by the module beside it,
with a number of queries that does not grow with the number of boats.
"""
