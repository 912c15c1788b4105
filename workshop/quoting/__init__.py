"""What a quote says, as values that can be frozen, named by a digest and read again years later."""
