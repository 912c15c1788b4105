"""The second factor: allauth's flows, on pages of ours. Signing up and the like are not offered."""
