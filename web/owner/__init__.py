"""The decider's page: opened by the link in the mail, without a log-in, on a phone, without a script.

The address is the key. Nothing here reads or sets a cookie, so no other site can act in the decider's name.
"""
