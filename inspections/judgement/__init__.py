"""What a finding means, how long it can wait, and why: pure functions on frozen dataclasses."""
