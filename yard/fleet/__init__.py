"""The yard's owners, boats and components as sheets: read from files, compared with what the yard has, written."""
