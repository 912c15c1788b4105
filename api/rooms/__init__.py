"""One module a room of the house: serializers beside the views that use them, views over services and selectors."""
