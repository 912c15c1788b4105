"""The ground floor: yards, people, boats, places; and the Django project package."""
