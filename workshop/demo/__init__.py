"""The demo yard: three springs of history laid by the services, and this spring through the public API.

What happens is said by the files in `fixtures/demo`; nothing here knows a boat by name.
"""
