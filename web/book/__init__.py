"""The due-back book for whoever holds an address of it, without signing in."""
